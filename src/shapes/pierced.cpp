#include "shapes/pierced.h"

#include <algorithm>
#include <cmath>

namespace handlot::shapes {

std::vector<double> pierced(const TriangleTree& tree, Vec3 from, Vec3 along) {
  std::vector<double> heights;
  const Body& body = tree.body();
  for (const auto& t : body.mesh->triangles) {
    const Vec3 a = body.vertices[t[0]], e1 = body.vertices[t[1]] - a, e2 = body.vertices[t[2]] - a,
               h = cross(along, e2);
    const double det = dot(e1, h);
    if (std::abs(det) < 1e-12) continue;
    const Vec3 s = from - a, q = cross(s, e1);
    const double u = dot(s, h) / det, v = dot(along, q) / det;
    if (u >= 0 && v >= 0 && u + v < 1) heights.push_back(dot(e2, q) / det);
  }
  std::sort(heights.begin(), heights.end());
  return heights;
}

}  // namespace handlot::shapes
