// round_pair.h: a shaft in a hole, found on the shapes of two parts.
#pragma once

#include <optional>
#include <vector>

#include "shapes/assembly.h"

namespace handlot::shapes {

/// A round hole of one part and a round outside of another on one axis, over a common length.
struct RoundPair {
  Millimetres hole, shaft;  ///< diameters
  Millimetres length;       ///< along the axis, that they share
  Vec3 at, axis;            ///< mm, the middle of that length; unit
};

/// Of several pairs the one whose diameters are nearest to each other, then the longest.
/// Given      axes no further apart than 0.3 mm and no further from parallel than 0.001 rad count as one.
/// Accuracy   diameters are those of the surfaces, exact; lengths to the meshes' deflection.
std::optional<RoundPair> round_pair(const Scene& scene, std::size_t hole, std::size_t shaft);

/// A round face of a part about a line: how wide, and from where to where along it, counted from the line's `on`.
struct RoundWall {
  Millimetres diameter;
  Millimetres low, high;
};
/// Those that are holes (`hollow`) or those that are not, in the order of the mesh's faces; a round of less than a third is none.
/// Given      axis is a unit.
std::vector<RoundWall> walls_about(const Scene& scene, std::size_t part, bool hollow, Vec3 on, Vec3 axis);

}  // namespace handlot::shapes
