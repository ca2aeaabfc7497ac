// paper.h: from the coordinates of a unit to paper. Private to the pictures.
#pragma once

#include <vector>

#include "shapes/hidden_lines.h"

namespace handlot::shapes {

constexpr double kText = 2.8;  ///< mm, size of words

/// From the unit's own coordinates, seen from the eye, to paper.
struct Paper {
  View view;
  double scale = 1, dx = 0, dy = 0;
  Point2 at(Point2 p) const { return {p.x * scale + dx, dy - p.y * scale}; }
  Point2 at(Vec3 p) const {
    const Vec3 v = view.to_view.direction(p);
    return at(Point2{v.x, v.y});
  }
};

/// A frame (mm on paper) that the picture is fitted into.
struct Frame {
  double left, top, right, bottom;
};

/// Scale and place such that all points lie in the frame.
void fit(Paper& paper, const std::vector<Vec3>& points, const Frame& frame);

}  // namespace handlot::shapes
