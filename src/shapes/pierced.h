// pierced.h: where a line passes through a part. Private to what looks along lines: fasteners, rings.
#pragma once

#include <vector>

#include "shapes/distance.h"

namespace handlot::shapes {

/// Heights over `from` at which the line along `along` passes through the surface of a part, lowest first.
/// Given    along is a unit.
std::vector<double> pierced(const TriangleTree& tree, Vec3 from, Vec3 along);

}  // namespace handlot::shapes
