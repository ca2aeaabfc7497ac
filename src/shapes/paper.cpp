#include "shapes/paper.h"

#include <algorithm>

namespace handlot::shapes {

void fit(Paper& paper, const std::vector<Vec3>& points, const Frame& frame) {
  double x0 = 1e300, x1 = -1e300, y0 = 1e300, y1 = -1e300;
  for (const Vec3& p : points) {
    const Vec3 v = paper.view.to_view.direction(p);
    x0 = std::min(x0, v.x), x1 = std::max(x1, v.x);
    y0 = std::min(y0, v.y), y1 = std::max(y1, v.y);
  }
  if (x0 > x1) return;
  paper.scale = std::min((frame.right - frame.left) / std::max(x1 - x0, 1e-3),
                         (frame.bottom - frame.top) / std::max(y1 - y0, 1e-3));
  paper.dx = (frame.left + frame.right) / 2 - (x0 + x1) / 2 * paper.scale;
  paper.dy = (frame.top + frame.bottom) / 2 + (y0 + y1) / 2 * paper.scale;
}

}  // namespace handlot::shapes
