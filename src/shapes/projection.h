// projection.h: a body seen along a direction, its faces sorted into those that look that way and those that
// look back. Private to blocking, free travel and two-move insertion.
#pragma once

#include <cstdint>
#include <vector>

#include "shapes/blocking.h"

namespace handlot::shapes {

/// A triangle with the direction of motion along z.
struct FlatTriangle {
  std::array<double, 3> x, y, z;
  double x0, x1, y0, y1, z0, z1;  ///< ranges
};

/// The triangles of one body that face one way, in cells of the x-y plane once somebody asks.
class FlatSet {
 public:
  std::vector<FlatTriangle> triangles;
  double x0 = 1e300, x1 = -1e300, y0 = 1e300, y1 = -1e300, z0 = 1e300, z1 = -1e300;

  void add(const FlatTriangle& t);
  /// Large triangles first; makes the cells.
  void settle();
  bool empty() const { return triangles.empty(); }

  /// Calls f(index) for every triangle whose box meets the range; f returns true to stop. Returns whether it
  /// stopped.
  template <class F>
  bool visit(double ax0, double ax1, double ay0, double ay1, F&& f) const;

 private:
  int columns_ = 0, rows_ = 0;
  double cell_x_ = 1, cell_y_ = 1;
  std::vector<std::uint32_t> start_, entries_;
  int column(double x) const;
  int row(double y) const;
};

struct Projected {
  FlatSet up, down;
};

/// `to_z` turns the direction of motion to +z; `shift` (mm, before turning) moves the body.
/// `sides` bit 1: fill `up`, bit 2: fill `down`.
Projected project(const Body& body, const Placement& to_z, Vec3 shift = {}, int sides = 3);

struct ProjectionLimits {
  double touch, graze;
};
ProjectionLimits limits_for(const Scene& scene, const BlockingRules& rules);

/// Is a body with faces `up` blocked by one with faces `down` when it moves along +z?
bool up_blocked(const FlatSet& up, const FlatSet& down, const ProjectionLimits& limits);

/// How far it may go; infinity when it never meets it.
double up_free(const FlatSet& up, const FlatSet& down, const ProjectionLimits& limits);

template <class F>
bool FlatSet::visit(double ax0, double ax1, double ay0, double ay1, F&& f) const {
  if (columns_ == 0) {
    for (std::uint32_t i = 0; i < triangles.size(); ++i) {
      const FlatTriangle& t = triangles[i];
      if (t.x0 < ax1 && ax0 < t.x1 && t.y0 < ay1 && ay0 < t.y1 && f(i)) return true;
    }
    return false;
  }
  const int c0 = column(ax0), c1 = column(ax1), r0 = row(ay0), r1 = row(ay1);
  for (int r = r0; r <= r1; ++r)
    for (int c = c0; c <= c1; ++c) {
      const auto cell = static_cast<std::size_t>(r * columns_ + c);
      for (std::uint32_t k = start_[cell]; k < start_[cell + 1]; ++k) {
        const FlatTriangle& t = triangles[entries_[k]];
        if (!(t.x0 < ax1 && ax0 < t.x1 && t.y0 < ay1 && ay0 < t.y1)) continue;
        // A pair that shares several cells is looked at in the first of them only.
        if (column(std::max(t.x0, ax0)) != c || row(std::max(t.y0, ay0)) != r) continue;
        if (f(entries_[k])) return true;
      }
    }
  return false;
}

}  // namespace handlot::shapes
