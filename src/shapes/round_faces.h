// round_faces.h: the cylinders of a part where it sits. Private to fits and fasteners.
#pragma once

#include <vector>

#include "shapes/assembly.h"

namespace handlot::shapes {

/// A cylindrical face: its axis, radius, and stretch along the axis counted from `on`, mm.
struct RoundFace {
  Vec3 on, axis;
  double radius = 0;
  double low = 1e300, high = -1e300;  ///< low > high: the face has no triangles to tell
  double area = 0;                    ///< mm2, of its triangles
  bool bounded() const { return low <= high; }
};

/// Those that are holes (`hollow`) or those that are not, in the order of the mesh's faces.
std::vector<RoundFace> round_faces(const Scene& scene, std::size_t part, bool hollow);

/// Do two lines lie on one another: parallel within 0.001 rad and no further apart than `apart` mm?
bool one_axis(Vec3 on, Vec3 axis, Vec3 other_on, Vec3 other_axis, double apart = 0.3);

}  // namespace handlot::shapes
