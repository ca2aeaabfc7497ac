// The four standard apertures.
#include "solder/gerber_reader.h"

namespace handlot::solder::gerber {

bool make_standard(Aperture& a, std::string_view name, const std::vector<double>& v, double mm,
                   double error) {
  const std::size_t n = v.size();
  if (n == 0 || v[0] < 0) return false;
  if (name == "C") {
    if (n > 3) return false;
    a.shape = Shape::circle, a.x = a.y = v[0] * mm, a.hole = n > 1 ? v[1] * mm : 0;
    a.rings = {circle({}, a.x, error)};
  } else if (name == "P") {
    if (n < 2 || n > 5 || v[1] < 3 || v[1] > 12) return false;
    a.shape = Shape::polygon, a.x = a.y = v[0] * mm, a.corners = static_cast<int>(v[1]),
    a.turned = n > 2 ? v[2] : 0, a.hole = n > 3 ? v[3] * mm : 0;
    a.rings = {regular_polygon({}, a.x, a.corners, a.turned)};
  } else {
    if (n < 2 || n > 4 || v[1] < 0) return false;
    a.x = v[0] * mm, a.y = v[1] * mm, a.hole = n > 2 ? v[2] * mm : 0;
    a.shape = name == "R" ? Shape::rectangle : Shape::obround;
    a.rings = {name == "R" ? rectangle({}, a.x, a.y) : obround({}, a.x, a.y, error)};
  }
  if (a.hole > 0) {
    const Ring hole = circle({}, a.hole, error);
    a.rings.push_back(Ring(hole.rbegin(), hole.rend()));
  }
  return true;
}

}  // namespace handlot::solder::gerber
