// solid_tree.h: a solid described in words and numbers, as a card gives it.
#pragma once

#include <string>
#include <variant>
#include <vector>

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "shapes/vec.h"

namespace handlot::shapes {

struct SolidTree;

/// A point in the plane, mm.
struct Point2 {
  double x = 0;
  double y = 0;
  constexpr auto operator<=>(const Point2&) const = default;
};
/// Corners in order; the last is joined to the first. No edge crosses another.
using Polygon = std::vector<Point2>;

// Every shape stands on z = 0 and is centred on the z axis, except where said.
struct BoxShape {
  Millimetres x, y, z;
};
struct CylinderShape {
  Millimetres diameter, height;
};
struct ConeShape {
  Millimetres lower, upper, height;  ///< diameters; one of them may be 0
};
/// Centred on the origin.
struct SphereShape {
  Millimetres diameter;
};
/// As drawn in x and y, from z = 0 upwards.
struct ExtrusionShape {
  Polygon outline;
  std::vector<Polygon> openings;
  Millimetres height;
};
struct PlateHole {
  Point2 at;
  Millimetres diameter;
  Millimetres countersink;  ///< diameter at the upper face, 90 degrees; 0 = plain
};
/// A rectangle (x, y; round = 0 or the corner radius) or a disc (x = diameter, y = 0), with holes through.
struct PlateShape {
  Millimetres x, y, thickness, corner;
  std::vector<PlateHole> holes;
};
/// A thread stands as its cylinders: an outer thread as its nominal diameter, an inner one as its core hole
/// (D1 = d - 1.0825 P). A screw in its nut therefore overlaps it by the flanks; declare such pairs as
/// threaded.
struct ThreadShape {
  Millimetres nominal, pitch, length;
  bool inner = false;
};
/// The first less all that follow.
struct CutShape {
  std::vector<SolidTree> of;
};
struct FuseShape {
  std::vector<SolidTree> of;
};
/// What all have in common.
struct CommonShape {
  std::vector<SolidTree> of;
};

/// A solid: one shape, placed.
struct SolidTree {
  std::variant<BoxShape, CylinderShape, ConeShape, SphereShape, ExtrusionShape, PlateShape, ThreadShape,
               CutShape, FuseShape, CommonShape>
      shape;
  Placement at;
  Place place;  ///< where the card says it, for messages
};

// Short ways to write one.
SolidTree box(double x_mm, double y_mm, double z_mm, Vec3 at = {});
SolidTree cylinder(double diameter_mm, double height_mm, Vec3 at = {});
SolidTree cone(double lower_mm, double upper_mm, double height_mm, Vec3 at = {});
SolidTree sphere(double diameter_mm, Vec3 at = {});
SolidTree extrusion(Polygon outline, double height_mm, Vec3 at = {});
SolidTree cut(std::vector<SolidTree> of);
SolidTree fuse(std::vector<SolidTree> of);
SolidTree moved(SolidTree tree, const Placement& by);

/// The core diameter of an inner thread.
/// Source   ISO 68-1 basic profile (memory): D1 = d - 1.082532 P.
Millimetres core_diameter(Millimetres nominal, Millimetres pitch);

/// Everything that makes the tree no solid, with its place: sizes that are zero, negative, not numbers or
/// over 100 m, outlines with fewer than three corners or edges that cross, openings outside, cuts of nothing,
/// trees deeper than 64 or of more than 10 000 shapes.
/// Errors   shape-size, shape-outline, shape-empty, shape-too-deep.
Diagnostics faults(const SolidTree& tree);

/// The tree as text, the same for the same solid; the key of caches.
std::string describe(const SolidTree& tree);

}  // namespace handlot::shapes
