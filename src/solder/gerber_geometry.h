// gerber_geometry.h: shapes of Gerber objects as polygons. Used by the Gerber reader only.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solder/gerber.h"

namespace handlot::solder::gerber {

/// Affine image of a point: mirror, then scale, then turn, then shift, as LM, LS and LR ask for.
struct Transform {
  double xx = 1, xy = 0, yx = 0, yy = 1, dx = 0, dy = 0;
  Point operator()(Point p) const { return {xx * p.x + xy * p.y + dx, yx * p.x + yy * p.y + dy}; }
  /// `this` after `first`.
  Transform after(const Transform& first) const;
  double scale() const;
};
Transform shifted(double dx, double dy);
Transform turned(double degrees);
Transform scaled(double factor);
Transform mirrored(bool x, bool y);

/// A filled shape: rings under the non-zero rule, put down dark or clear.
struct Patch {
  std::vector<Ring> rings;
  bool dark = true;
};

/// Rings around `centre` whose chords lie no further than `error` from the arc (and alternate about it in
/// area).
Ring circle(Point centre, double diameter, double error);
Ring rectangle(Point centre, double width, double height);
Ring obround(Point centre, double width, double height, double error);
Ring regular_polygon(Point centre, double diameter, int corners, double degrees);
/// The track of a round tool from a to b.
Ring track(Point a, Point b, double diameter, double error);
/// The track of a rectangular tool from a to b: hull of both ends.
Ring rectangle_track(Point a, Point b, double width, double height);
/// Points of an arc from a to b about a centre, b included, a not; `error` as above.
std::vector<Point> arc_points(Point a, Point b, Point centre, bool clockwise, bool full, double error);

/// Connected dark patches left by putting all patches down in order.
struct Island {
  Ring outline;
  std::vector<Ring> holes;
};
std::vector<Island> islands(const std::vector<Patch>& patches);
/// The same, as rings under the non-zero rule (outlines counter-clockwise, holes clockwise).
std::vector<Ring> united(const std::vector<Patch>& patches);

/// Diameter of the largest circle inside, to `accuracy`.
double widest_circle(const Island& island, double accuracy);

}  // namespace handlot::solder::gerber
