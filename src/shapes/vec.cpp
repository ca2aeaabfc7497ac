#include "shapes/vec.h"

#include <algorithm>
#include <cassert>
#include <numbers>

namespace handlot::shapes {

namespace {

/// Sine and cosine of degrees, exact at quarter turns.
std::pair<double, double> sine_cosine(Degrees angle) {
  const double turns = std::fmod(angle.value, 360.0) / 90.0;
  if (turns == std::floor(turns)) {
    static constexpr double kSine[4] = {0, 1, 0, -1};
    const int quarter = (static_cast<int>(turns) + 4) % 4;
    return {kSine[quarter], kSine[(quarter + 1) % 4]};
  }
  const double radians = angle.value * std::numbers::pi / 180.0;
  return {std::sin(radians), std::cos(radians)};
}

std::array<double, 9> about(Vec3 axis, Degrees angle) {
  const auto [s, c] = sine_cosine(angle);
  const double t = 1 - c;
  const Vec3 a = unit(axis);
  return {t * a.x * a.x + c,       t * a.x * a.y - s * a.z, t * a.x * a.z + s * a.y,
          t * a.x * a.y + s * a.z, t * a.y * a.y + c,       t * a.y * a.z - s * a.x,
          t * a.x * a.z - s * a.y, t * a.y * a.z + s * a.x, t * a.z * a.z + c};
}

}  // namespace

Placement then(const Placement& inner, const Placement& outer) {
  Placement both;
  for (std::size_t row = 0; row < 3; ++row) {
    for (std::size_t column = 0; column < 3; ++column) {
      double sum = 0;
      for (std::size_t k = 0; k < 3; ++k) sum += outer.turn[row * 3 + k] * inner.turn[k * 3 + column];
      both.turn[row * 3 + column] = sum;
    }
  }
  both.shift = outer.point(inner.shift);
  return both;
}

Placement inverse(const Placement& placement) {
  const auto& m = placement.turn;
  Placement back;
  back.turn = {m[0], m[3], m[6], m[1], m[4], m[7], m[2], m[5], m[8]};
  back.shift = -back.direction(placement.shift);
  return back;
}

Placement placed_at(Vec3 position, Degrees about_x, Degrees about_y, Degrees about_z) {
  Placement all;
  all = then(all, {about({1, 0, 0}, about_x), {}});
  all = then(all, {about({0, 1, 0}, about_y), {}});
  all = then(all, {about({0, 0, 1}, about_z), {}});
  all.shift = position;
  return all;
}

Placement turned_about(Vec3 point, Vec3 axis, Degrees angle) {
  assert(length(axis) > 0);
  Placement turn{about(axis, angle), {}};
  turn.shift = point - turn.direction(point);
  return turn;
}

Placement looking_along(Vec3 up) {
  const Vec3 least = std::abs(up.x) <= std::abs(up.y) && std::abs(up.x) <= std::abs(up.z) ? Vec3{1, 0, 0}
                     : std::abs(up.y) <= std::abs(up.z)                                   ? Vec3{0, 1, 0}
                                                                                          : Vec3{0, 0, 1};
  const Vec3 first = unit(cross(least, up));
  const Vec3 second = cross(up, first);
  return {{first.x, first.y, first.z, second.x, second.y, second.z, up.x, up.y, up.z}, {}};
}

void Box::add(Vec3 p) {
  low = {std::min(low.x, p.x), std::min(low.y, p.y), std::min(low.z, p.z)};
  high = {std::max(high.x, p.x), std::max(high.y, p.y), std::max(high.z, p.z)};
}

void Box::add(const Box& other) {
  if (other.empty()) return;
  add(other.low);
  add(other.high);
}

Box Box::grown(double by) const {
  const Vec3 margin{by, by, by};
  return {low - margin, high + margin};
}

bool Box::meets(const Box& o) const {
  return low.x <= o.high.x && o.low.x <= high.x && low.y <= o.high.y && o.low.y <= high.y &&
         low.z <= o.high.z && o.low.z <= high.z;
}

}  // namespace handlot::shapes
