#include "shapes/distance.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace handlot::shapes {

namespace {

Vec3 middle_of(const Body& body, std::uint32_t t) {
  const auto& c = body.mesh->triangles[t];
  return (body.vertices[c[0]] + body.vertices[c[1]] + body.vertices[c[2]]) * (1.0 / 3);
}

constexpr std::uint32_t kLeaf = 4;

}  // namespace

TriangleTree::TriangleTree(const Body& body) : body_(&body), order_(body.mesh->triangles.size()) {
  std::iota(order_.begin(), order_.end(), 0U);
  std::vector<Vec3> middles(order_.size());
  for (std::uint32_t i = 0; i < order_.size(); ++i) middles[i] = middle_of(body, i);
  struct Task {
    std::uint32_t node, first, count;
  };
  nodes_.push_back({});
  std::vector<Task> tasks{{0, 0, static_cast<std::uint32_t>(order_.size())}};
  while (!tasks.empty()) {
    const Task task = tasks.back();
    tasks.pop_back();
    Box box, centres;
    for (std::uint32_t i = task.first; i < task.first + task.count; ++i) {
      for (std::uint32_t corner : body.mesh->triangles[order_[i]]) box.add(body.vertices[corner]);
      centres.add(middles[order_[i]]);
    }
    nodes_[task.node].box = box;
    if (task.count <= kLeaf) {
      nodes_[task.node].first = task.first;
      nodes_[task.node].count = task.count;
      continue;
    }
    const Vec3 size = centres.size();
    const int axis = size.x >= size.y && size.x >= size.z ? 0 : size.y >= size.z ? 1 : 2;
    const auto begin = order_.begin() + task.first;
    const std::uint32_t half = task.count / 2;
    std::nth_element(begin, begin + half, begin + task.count, [&](std::uint32_t a, std::uint32_t b) {
      return middles[a][axis] != middles[b][axis] ? middles[a][axis] < middles[b][axis] : a < b;
    });
    const auto left = static_cast<std::uint32_t>(nodes_.size());
    nodes_[task.node].first = left;
    nodes_[task.node].count = 0;
    nodes_.resize(nodes_.size() + 2);
    tasks.push_back({left, task.first, half});
    tasks.push_back({left + 1, task.first + half, task.count - half});
  }
}

namespace {

using Corners = std::array<Vec3, 3>;

Corners corners(const Body& body, std::uint32_t t) {
  const auto& c = body.mesh->triangles[t];
  return {body.vertices[c[0]], body.vertices[c[1]], body.vertices[c[2]]};
}

Corners moved(const Corners& c, const Placement& by) {
  return {by.point(c[0]), by.point(c[1]), by.point(c[2])};
}

double squared(Vec3 v) {
  return dot(v, v);
}

struct Close {
  double squared = std::numeric_limits<double>::infinity();
  Vec3 a, b;
  void take(Vec3 p, Vec3 q) {
    const double d = shapes::squared(p - q);
    if (d < squared) *this = {d, p, q};
  }
};

void edge_edge(Vec3 p1, Vec3 q1, Vec3 p2, Vec3 q2, Close& best) {
  const Vec3 d1 = q1 - p1, d2 = q2 - p2, r = p1 - p2;
  const double a = dot(d1, d1), e = dot(d2, d2), f = dot(d2, r), c = dot(d1, r), b = dot(d1, d2);
  const double denom = a * e - b * b;
  double s = denom > 1e-14 * a * e ? std::clamp((b * f - c * e) / denom, 0.0, 1.0) : 0;
  double t = e > 0 ? (b * s + f) / e : 0;
  if (t < 0) {
    t = 0;
    s = a > 0 ? std::clamp(-c / a, 0.0, 1.0) : 0;
  } else if (t > 1) {
    t = 1;
    s = a > 0 ? std::clamp((b - c) / a, 0.0, 1.0) : 0;
  }
  best.take(p1 + d1 * s, p2 + d2 * t);
}

/// Foot of a point on a triangle's plane, when it lies in the triangle.
std::optional<Vec3> foot(Vec3 p, const Corners& t, Vec3 normal) {
  for (std::size_t k = 0; k < 3; ++k)
    if (dot(cross(t[(k + 1) % 3] - t[k], p - t[k]), normal) < 0) return std::nullopt;
  return p - normal * (dot(p - t[0], normal) / dot(normal, normal));
}

/// Does an edge pass through the triangle?
std::optional<Vec3> pierced(Vec3 p, Vec3 q, const Corners& t, Vec3 normal) {
  const double dp = dot(p - t[0], normal), dq = dot(q - t[0], normal);
  if ((dp > 0) == (dq > 0)) return std::nullopt;
  const Vec3 at = p + (q - p) * (dp / (dp - dq));
  return foot(at, t, normal) ? std::optional(at) : std::nullopt;
}

void triangle_triangle(const Corners& a, const Corners& b, Close& best) {
  const Vec3 na = cross(a[1] - a[0], a[2] - a[0]), nb = cross(b[1] - b[0], b[2] - b[0]);
  for (std::size_t k = 0; k < 3; ++k) {
    if (const auto hit = pierced(a[k], a[(k + 1) % 3], b, nb)) return best.take(*hit, *hit);
    if (const auto hit = pierced(b[k], b[(k + 1) % 3], a, na)) return best.take(*hit, *hit);
  }
  for (std::size_t i = 0; i < 3; ++i) {
    if (const auto f = foot(a[i], b, nb)) best.take(a[i], *f);
    if (const auto f = foot(b[i], a, na)) best.take(*f, b[i]);
    for (std::size_t j = 0; j < 3; ++j) edge_edge(a[i], a[(i + 1) % 3], b[j], b[(j + 1) % 3], best);
  }
}

Box moved(const Box& box, const Placement& by, bool unmoved) {
  if (unmoved) return box;
  const Vec3 half = box.size() * 0.5;
  const Vec3 c = by.point(box.middle());
  const auto& m = by.turn;
  const auto reach = [&](std::size_t r) {
    return std::abs(m[r]) * half.x + std::abs(m[r + 1]) * half.y + std::abs(m[r + 2]) * half.z;
  };
  const Vec3 h{reach(0), reach(3), reach(6)};
  return {c - h, c + h};
}

double squared_between(const Box& a, const Box& b) {
  const auto gap = [](double l1, double h1, double l2, double h2) {
    return std::max({0.0, l2 - h1, l1 - h2});
  };
  return squared({gap(a.low.x, a.high.x, b.low.x, b.high.x), gap(a.low.y, a.high.y, b.low.y, b.high.y),
                  gap(a.low.z, a.high.z, b.low.z, b.high.z)});
}

}  // namespace

namespace {

Box box_of(const Corners& t) {
  Box box{t[0], t[0]};
  box.add(t[1]);
  box.add(t[2]);
  return box;
}

/// Bounds nearer than this to the best are not worth a look: parallel faces would tie for ever.
constexpr double kTie = 1 - 2e-6;

}  // namespace

Nearest nearest(const TriangleTree& a, const TriangleTree& b, const Placement& by, double within) {
  const bool unmoved = by == Placement{};
  Close best;
  best.squared = within * within;
  struct Pair {
    double bound;
    std::uint32_t a, b;
  };
  std::vector<Pair> stack{{squared_between(moved(a.nodes()[0].box, by, unmoved), b.nodes()[0].box), 0, 0}};
  bool found = false;
  while (!stack.empty()) {
    const Pair pair = stack.back();
    stack.pop_back();
    if (pair.bound >= best.squared * kTie) continue;
    const auto& na = a.nodes()[pair.a];
    const auto& nb = b.nodes()[pair.b];
    if (na.count > 0 && nb.count > 0) {
      for (std::uint32_t i = na.first; i < na.first + na.count; ++i) {
        const Corners ta = moved(corners(a.body(), a.order()[i]), by);
        const Box box_a = box_of(ta);
        for (std::uint32_t j = nb.first; j < nb.first + nb.count; ++j) {
          const double before = best.squared;
          const Corners tb = corners(b.body(), b.order()[j]);
          if (squared_between(box_a, box_of(tb)) >= best.squared * kTie) continue;
          triangle_triangle(ta, tb, best);
          found = found || best.squared < before;
          if (best.squared == 0) return {0, best.a, best.b};
        }
      }
      continue;
    }
    const bool split_a = nb.count > 0 || (na.count == 0 && squared(na.box.size()) >= squared(nb.box.size()));
    std::array<Pair, 2> next;
    for (std::uint32_t k = 0; k < 2; ++k) {
      next[k].a = split_a ? na.first + k : pair.a;
      next[k].b = split_a ? pair.b : nb.first + k;
      next[k].bound = squared_between(moved(a.nodes()[next[k].a].box, by, unmoved), b.nodes()[next[k].b].box);
    }
    if (next[0].bound < next[1].bound) std::swap(next[0], next[1]);
    for (const Pair& p : next)
      if (p.bound < best.squared * kTie) stack.push_back(p);
  }
  if (!found) return {};
  return {std::sqrt(best.squared), best.a, best.b};
}

namespace {

/// Distances of three corners from a plane, and how far the triangle reaches through it.
struct Sides {
  std::array<double, 3> d;
  double through;  ///< the smaller of what lies above and what lies below
};

Sides sides(const Corners& t, Vec3 on, Vec3 normal) {
  Sides s{};
  double low = 0, high = 0;
  for (std::size_t k = 0; k < 3; ++k) {
    s.d[k] = dot(t[k] - on, normal);
    low = std::min(low, s.d[k]);
    high = std::max(high, s.d[k]);
  }
  s.through = std::min(-low, high);
  return s;
}

/// Where a triangle that passes through a plane meets it, along `line`.
std::pair<double, double> stretch(const Corners& t, const Sides& s, Vec3 line) {
  double low = 1e300, high = -1e300;
  for (std::size_t k = 0; k < 3; ++k) {
    const std::size_t l = (k + 1) % 3;
    if ((s.d[k] > 0) == (s.d[l] > 0)) continue;
    const double f = s.d[k] / (s.d[k] - s.d[l]);
    const double at = dot(t[k] + (t[l] - t[k]) * f, line);
    low = std::min(low, at);
    high = std::max(high, at);
  }
  return {low, high};
}

/// Area that two triangles of one plane share.
double common_area(const Corners& a, const Corners& b, Vec3 normal) {
  std::vector<Vec3> poly(a.begin(), a.end());
  for (std::size_t k = 0; k < 3 && poly.size() >= 3; ++k) {
    const Vec3 inward = cross(normal, b[(k + 1) % 3] - b[k]);
    std::vector<Vec3> out;
    for (std::size_t i = 0; i < poly.size(); ++i) {
      const Vec3 p = poly[i], q = poly[(i + 1) % poly.size()];
      const double dp = dot(p - b[k], inward), dq = dot(q - b[k], inward);
      if (dp >= 0) out.push_back(p);
      if ((dp >= 0) != (dq >= 0)) out.push_back(p + (q - p) * (dp / (dp - dq)));
    }
    poly = std::move(out);
  }
  Vec3 sum;
  for (std::size_t i = 1; i + 1 < poly.size(); ++i) sum += cross(poly[i] - poly[0], poly[i + 1] - poly[0]);
  return std::abs(dot(sum, normal)) / 2;
}

std::optional<Vec3> crossing_at(const Corners& a, const Corners& b, double deep) {
  const Vec3 ca = cross(a[1] - a[0], a[2] - a[0]), cb = cross(b[1] - b[0], b[2] - b[0]);
  if (length(ca) < 1e-12 || length(cb) < 1e-12) return std::nullopt;
  const Vec3 na = unit(ca), nb = unit(cb);
  const Sides sa = sides(a, b[0], nb), sb = sides(b, a[0], na);
  const auto flat = [](const Sides& s) {
    return std::max({std::abs(s.d[0]), std::abs(s.d[1]), std::abs(s.d[2])}) < 1e-5;
  };
  // Faces of one plane that look the same way: what lies under them is common to both.
  if (flat(sa) && flat(sb))
    return dot(na, nb) > 0 && common_area(a, b, nb) > deep * deep ? std::optional(a[0]) : std::nullopt;
  if (sa.through <= deep || sb.through <= deep) return std::nullopt;
  const Vec3 line = cross(na, nb);
  if (length(line) < 1e-9) return std::nullopt;
  const Vec3 along = unit(line);
  const auto [a0, a1] = stretch(a, sa, along);
  const auto [b0, b1] = stretch(b, sb, along);
  const double low = std::max(a0, b0), high = std::min(a1, b1);
  if (high - low <= deep) return std::nullopt;
  const Vec3 m = (a[0] + a[1] + a[2]) * (1.0 / 3);
  return m + along * ((low + high) / 2 - dot(m, along));
}

}  // namespace

std::vector<Crossing> crossings(const TriangleTree& a, const TriangleTree& b, double deeper_than,
                                std::size_t limit) {
  std::vector<Crossing> found;
  std::vector<std::pair<std::uint32_t, std::uint32_t>> stack{{0, 0}};
  while (!stack.empty() && found.size() < limit) {
    const auto [ia, ib] = stack.back();
    stack.pop_back();
    const auto& na = a.nodes()[ia];
    const auto& nb = b.nodes()[ib];
    if (!na.box.grown(1e-6).meets(nb.box)) continue;
    if (na.count > 0 && nb.count > 0) {
      for (std::uint32_t i = na.first; i < na.first + na.count; ++i)
        for (std::uint32_t j = nb.first; j < nb.first + nb.count && found.size() < limit; ++j)
          if (const auto at =
                  crossing_at(corners(a.body(), a.order()[i]), corners(b.body(), b.order()[j]), deeper_than))
            found.push_back({a.order()[i], b.order()[j], *at});
      continue;
    }
    const bool split_a = nb.count > 0 || (na.count == 0 && squared(na.box.size()) >= squared(nb.box.size()));
    for (std::uint32_t k = 0; k < 2; ++k)
      stack.push_back(split_a ? std::pair{na.first + k, ib} : std::pair{ia, nb.first + k});
  }
  return found;
}

namespace {

bool ray_meets(const Box& box, Vec3 from, Vec3 along) {
  double low = 0, high = 1e300;
  for (int k = 0; k < 3; ++k) {
    const double t0 = (box.low[k] - 1e-9 - from[k]) / along[k],
                 t1 = (box.high[k] + 1e-9 - from[k]) / along[k];
    low = std::max(low, std::min(t0, t1));
    high = std::min(high, std::max(t0, t1));
  }
  return low <= high;
}

}  // namespace

bool inside(const TriangleTree& tree, Vec3 point) {
  const Box& box = tree.nodes()[0].box;
  if (!Box{point, point}.meets(box)) return false;
  // No face of a made part looks along this.
  const Vec3 along = unit({0.3819660113, 0.5641895835, 0.7320508076});
  std::vector<std::uint32_t> stack{0};
  int count = 0;
  while (!stack.empty()) {
    const auto& node = tree.nodes()[stack.back()];
    stack.pop_back();
    if (!ray_meets(node.box, point, along)) continue;
    if (node.count == 0) {
      stack.push_back(node.first);
      stack.push_back(node.first + 1);
      continue;
    }
    for (std::uint32_t i = node.first; i < node.first + node.count; ++i) {
      const Corners t = corners(tree.body(), tree.order()[i]);
      const Vec3 e1 = t[1] - t[0], e2 = t[2] - t[0], h = cross(along, e2);
      const double det = dot(e1, h);
      if (std::abs(det) < 1e-14) continue;
      const Vec3 s = point - t[0], q = cross(s, e1);
      const double u = dot(s, h) / det, v = dot(along, q) / det, far = dot(e2, q) / det;
      if (u >= 0 && v >= 0 && u + v < 1 && far > 0) ++count;
    }
  }
  return count % 2 == 1;
}

}  // namespace handlot::shapes
