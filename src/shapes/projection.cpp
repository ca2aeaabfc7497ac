#include "shapes/projection.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace handlot::shapes {

void FlatSet::add(const FlatTriangle& t) {
  triangles.push_back(t);
  x0 = std::min(x0, t.x0), x1 = std::max(x1, t.x1);
  y0 = std::min(y0, t.y0), y1 = std::max(y1, t.y1);
  z0 = std::min(z0, t.z0), z1 = std::max(z1, t.z1);
}

int FlatSet::column(double x) const {
  return std::clamp(static_cast<int>((x - x0) / cell_x_), 0, columns_ - 1);
}
int FlatSet::row(double y) const {
  return std::clamp(static_cast<int>((y - y0) / cell_y_), 0, rows_ - 1);
}

void FlatSet::settle() {
  constexpr std::size_t kFewEnough = 12;
  if (triangles.size() <= kFewEnough) return;
  const int side = std::clamp(static_cast<int>(std::sqrt(static_cast<double>(triangles.size()))), 2, 64);
  columns_ = rows_ = side;
  cell_x_ = std::max((x1 - x0) / side, 1e-9);
  cell_y_ = std::max((y1 - y0) / side, 1e-9);
  std::vector<std::uint32_t> count(static_cast<std::size_t>(side * side) + 1, 0);
  const auto each_cell = [&](const FlatTriangle& t, auto&& f) {
    for (int r = row(t.y0); r <= row(t.y1); ++r)
      for (int c = column(t.x0); c <= column(t.x1); ++c) f(static_cast<std::size_t>(r * side + c));
  };
  for (const FlatTriangle& t : triangles) each_cell(t, [&](std::size_t cell) { ++count[cell + 1]; });
  for (std::size_t i = 1; i < count.size(); ++i) count[i] += count[i - 1];
  start_ = count;
  entries_.resize(count.back());
  for (std::uint32_t i = 0; i < triangles.size(); ++i)
    each_cell(triangles[i], [&](std::size_t cell) { entries_[count[cell]++] = i; });
}

Projected project(const Body& body, const Placement& to_z, Vec3 shift, int sides) {
  Projected seen;
  std::vector<Vec3> turned;
  turned.reserve(body.vertices.size());
  for (const Vec3& v : body.vertices) turned.push_back(to_z.direction(v + shift));
  for (const auto& t : body.mesh->triangles) {
    const Vec3 a = turned[t[0]], b = turned[t[1]], c = turned[t[2]];
    const double twice = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    if ((twice > 0 && !(sides & 1)) || (twice < 0 && !(sides & 2))) continue;
    // Faces along the motion slide: they neither push nor stop anything.
    const double full = length(cross(b - a, c - a));
    if (std::abs(twice) < 1e-4 * full || std::abs(twice) < 1e-9) continue;
    FlatTriangle flat;
    flat.x = {a.x, b.x, c.x}, flat.y = {a.y, b.y, c.y}, flat.z = {a.z, b.z, c.z};
    if (twice < 0) {
      std::swap(flat.x[1], flat.x[2]), std::swap(flat.y[1], flat.y[2]), std::swap(flat.z[1], flat.z[2]);
    }
    std::tie(flat.x0, flat.x1) = std::minmax({a.x, b.x, c.x});
    std::tie(flat.y0, flat.y1) = std::minmax({a.y, b.y, c.y});
    std::tie(flat.z0, flat.z1) = std::minmax({a.z, b.z, c.z});
    (twice > 0 ? seen.up : seen.down).add(flat);
  }
  seen.up.settle();
  seen.down.settle();
  return seen;
}

ProjectionLimits limits_for(const Scene& scene, const BlockingRules& rules) {
  const double fine = std::max(scene.deflection(), 0.01);
  return {std::max(rules.touch, scene.deflection()), rules.graze > 0 ? rules.graze : 2.5 * fine};
}

namespace {

/// A small convex polygon in the plane with the gap above each corner.
struct Patch {
  std::array<double, 12> x, y, gap;
  std::size_t n = 0;
  void add(double px, double py, double g = 0) { x[n] = px, y[n] = py, gap[n] = g, ++n; }
};

/// Keeps the part of `in` where a*x + b*y + c >= 0.
void clip(const Patch& in, Patch& out, double a, double b, double c) {
  out.n = 0;
  if (in.n == 0) return;
  double before = a * in.x[in.n - 1] + b * in.y[in.n - 1] + c;
  for (std::size_t i = 0, j = in.n - 1; i < in.n; j = i++) {
    const double now = a * in.x[i] + b * in.y[i] + c;
    if ((now >= 0) != (before >= 0)) {
      const double f = before / (before - now);
      out.add(in.x[j] + f * (in.x[i] - in.x[j]), in.y[j] + f * (in.y[i] - in.y[j]));
    }
    if (now >= 0) out.add(in.x[i], in.y[i]);
    before = now;
  }
}

/// z of the triangle's plane = z0 + sx (x - x0) + sy (y - y0).
struct Plane {
  double x, y, z, sx, sy;
  explicit Plane(const FlatTriangle& t) : x(t.x[0]), y(t.y[0]), z(t.z[0]) {
    const double ux = t.x[1] - x, uy = t.y[1] - y, uz = t.z[1] - z;
    const double vx = t.x[2] - x, vy = t.y[2] - y, vz = t.z[2] - z;
    const double d = ux * vy - uy * vx;
    sx = (uz * vy - uy * vz) / d;
    sy = (ux * vz - uz * vx) / d;
  }
  double at(double px, double py) const { return z + sx * (px - x) + sy * (py - y); }
};

struct Overlay {
  double area = 0;
  double width = 0;  ///< 2 area / perimeter
  double least_gap = 0;
};

/// What two triangles have in common seen along z, where `down` is no more than `touch` below `up`.
Overlay overlay(const FlatTriangle& up, const FlatTriangle& down, double touch) {
  Patch one, two;
  // Coordinates about the first corner: slivers far from the origin would drown otherwise.
  const double ox = up.x[0], oy = up.y[0];
  for (std::size_t k = 0; k < 3; ++k) one.add(up.x[k] - ox, up.y[k] - oy);
  Patch* from = &one;
  Patch* to = &two;
  for (std::size_t k = 0; k < 3; ++k) {
    const std::size_t l = (k + 1) % 3;
    const double ex = down.x[l] - down.x[k], ey = down.y[l] - down.y[k];
    const double px = down.x[k] - ox, py = down.y[k] - oy;
    clip(*from, *to, -ey, ex, ey * px - ex * py);
    std::swap(from, to);
    if (from->n < 3) return {};
  }
  const Plane a(up), b(down);
  const double sx = b.sx - a.sx, sy = b.sy - a.sy;
  const double base = b.at(ox, oy) - a.at(ox, oy);
  clip(*from, *to, sx, sy, base + touch);
  if (to->n < 3) return {};
  Overlay found;
  double twice = 0, around = 0;
  found.least_gap = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0, j = to->n - 1; i < to->n; j = i++) {
    twice += (to->x[j] - to->x[0]) * (to->y[i] - to->y[0]) - (to->x[i] - to->x[0]) * (to->y[j] - to->y[0]);
    around += std::hypot(to->x[i] - to->x[j], to->y[i] - to->y[j]);
    found.least_gap = std::min(found.least_gap, base + sx * to->x[i] + sy * to->y[i]);
  }
  found.area = std::abs(twice) / 2;
  if (found.area < 1e-9) return {};
  found.width = 2 * found.area / around;
  return found;
}

/// Thin overlaps add up: a fine hole's wall is all strips. So much of them counts as one broad overlap.
double thin_limit(const FlatSet& up, const FlatSet& down, double graze) {
  const double w = std::min(up.x1, down.x1) - std::max(up.x0, down.x0);
  const double h = std::min(up.y1, down.y1) - std::max(up.y0, down.y0);
  return 0.4 * graze * 2 * (w + h);
}

bool apart(const FlatSet& up, const FlatSet& down, double touch) {
  return up.empty() || down.empty() || up.x0 >= down.x1 || down.x0 >= up.x1 || up.y0 >= down.y1 ||
         down.y0 >= up.y1 || down.z1 <= up.z0 - touch;
}

/// Walks the overlays of two sets; f(overlay) returns true to stop.
template <class F>
bool overlays(const FlatSet& up, const FlatSet& down, double touch, F&& f) {
  for (const FlatTriangle& t : up.triangles) {
    if (t.x0 >= down.x1 || down.x0 >= t.x1 || t.y0 >= down.y1 || down.y0 >= t.y1 || down.z1 <= t.z0 - touch)
      continue;
    const bool stopped = down.visit(t.x0, t.x1, t.y0, t.y1, [&](std::uint32_t i) {
      const FlatTriangle& o = down.triangles[i];
      if (o.z1 < t.z0 - touch) return false;
      const Overlay found = overlay(t, o, touch);
      return found.area > 0 && f(found);
    });
    if (stopped) return true;
  }
  return false;
}

}  // namespace

bool up_blocked(const FlatSet& up, const FlatSet& down, const ProjectionLimits& limits) {
  if (apart(up, down, limits.touch)) return false;
  const double thin_most = thin_limit(up, down, limits.graze);
  double thin = 0;
  return overlays(up, down, limits.touch, [&](const Overlay& o) {
    if (o.width > limits.graze) return true;
    thin += o.area;
    return thin > thin_most;
  });
}

double up_free(const FlatSet& up, const FlatSet& down, const ProjectionLimits& limits) {
  double least = std::numeric_limits<double>::infinity();
  if (apart(up, down, limits.touch)) return least;
  const double thin_most = thin_limit(up, down, limits.graze);
  double thin = 0, thin_gap = least;
  overlays(up, down, limits.touch, [&](const Overlay& o) {
    if (o.width > limits.graze) {
      least = std::min(least, o.least_gap);
    } else {
      thin += o.area;
      thin_gap = std::min(thin_gap, o.least_gap);
    }
    return false;
  });
  if (thin > thin_most) least = std::min(least, thin_gap);
  return std::max(least, 0.0);
}

}  // namespace handlot::shapes
