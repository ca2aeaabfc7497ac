// vec.h: points, directions and rigid placements.
#pragma once

#include <array>
#include <cmath>
#include <compare>

#include "core/quantity.h"

namespace handlot::shapes {

/// A point in millimetres, or a direction without unit; the name of the value says which.
struct Vec3 {
  double x = 0;
  double y = 0;
  double z = 0;

  constexpr auto operator<=>(const Vec3&) const = default;
  constexpr Vec3 operator+(Vec3 o) const { return {x + o.x, y + o.y, z + o.z}; }
  constexpr Vec3 operator-(Vec3 o) const { return {x - o.x, y - o.y, z - o.z}; }
  constexpr Vec3 operator-() const { return {-x, -y, -z}; }
  constexpr Vec3 operator*(double f) const { return {x * f, y * f, z * f}; }
  constexpr Vec3& operator+=(Vec3 o) { return *this = *this + o; }
  constexpr double operator[](int axis) const { return axis == 0 ? x : axis == 1 ? y : z; }
};

constexpr double dot(Vec3 a, Vec3 b) {
  return a.x * b.x + a.y * b.y + a.z * b.z;
}
constexpr Vec3 cross(Vec3 a, Vec3 b) {
  return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
inline double length(Vec3 v) {
  return std::sqrt(dot(v, v));
}
/// Given: v is not zero.
inline Vec3 unit(Vec3 v) {
  return v * (1.0 / length(v));
}

/// A rigid placement: turn first, then shift. Never a mirror, never a scale.
struct Placement {
  std::array<double, 9> turn{1, 0, 0, 0, 1, 0, 0, 0, 1};  ///< rotation matrix, row by row
  Vec3 shift;                                             ///< mm

  bool operator==(const Placement&) const = default;
  Vec3 direction(Vec3 d) const {
    return {turn[0] * d.x + turn[1] * d.y + turn[2] * d.z, turn[3] * d.x + turn[4] * d.y + turn[5] * d.z,
            turn[6] * d.x + turn[7] * d.y + turn[8] * d.z};
  }
  Vec3 point(Vec3 p) const { return direction(p) + shift; }
};

/// First `inner`, then `outer`.
Placement then(const Placement& inner, const Placement& outer);
Placement inverse(const Placement& placement);

/// Turned about the fixed x axis, then the fixed y axis, then the fixed z axis, then moved to `position`
/// (mm). Quarter turns are exact.
Placement placed_at(Vec3 position, Degrees about_x = Degrees(0), Degrees about_y = Degrees(0),
                    Degrees about_z = Degrees(0));

/// Turned about the line through `point` along `axis`. Given: axis is not zero.
Placement turned_about(Vec3 point, Vec3 axis, Degrees angle);

/// The turn whose third row is `up` (a unit vector): it carries `up` to +z.
/// The choice of the other two axes depends on `up` alone.
Placement looking_along(Vec3 up);

/// A box along the axes, mm. Empty until it holds a point.
struct Box {
  Vec3 low{1e300, 1e300, 1e300};
  Vec3 high{-1e300, -1e300, -1e300};

  bool empty() const { return low.x > high.x; }
  void add(Vec3 p);
  void add(const Box& other);
  Box grown(double by) const;
  bool meets(const Box& other) const;
  Vec3 middle() const { return (low + high) * 0.5; }
  Vec3 size() const { return empty() ? Vec3{} : high - low; }
};

}  // namespace handlot::shapes
