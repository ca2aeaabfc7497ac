#include "shapes/view_choice.h"

#include <algorithm>
#include <cmath>

#include "shapes/distance.h"

namespace handlot::shapes {

namespace {

bool ray_meets_box(const Box& box, Vec3 from, Vec3 along) {
  double low = 0.05, high = 1e300;
  for (int k = 0; k < 3; ++k) {
    if (std::abs(along[k]) < 1e-12) {
      if (from[k] < box.low[k] || from[k] > box.high[k]) return false;
      continue;
    }
    const double t0 = (box.low[k] - from[k]) / along[k], t1 = (box.high[k] - from[k]) / along[k];
    low = std::max(low, std::min(t0, t1));
    high = std::min(high, std::max(t0, t1));
  }
  return low <= high;
}

bool ray_meets(const TriangleTree& tree, Vec3 from, Vec3 along) {
  std::vector<std::uint32_t> stack{0};
  const Body& body = tree.body();
  while (!stack.empty()) {
    const auto& node = tree.nodes()[stack.back()];
    stack.pop_back();
    if (!ray_meets_box(node.box, from, along)) continue;
    if (node.count == 0) {
      stack.push_back(node.first);
      stack.push_back(node.first + 1);
      continue;
    }
    for (std::uint32_t i = node.first; i < node.first + node.count; ++i) {
      const auto& t = body.mesh->triangles[tree.order()[i]];
      const Vec3 a = body.vertices[t[0]], e1 = body.vertices[t[1]] - a, e2 = body.vertices[t[2]] - a;
      const Vec3 h = cross(along, e2);
      const double det = dot(e1, h);
      if (std::abs(det) < 1e-12) continue;
      const Vec3 s = from - a, q = cross(s, e1);
      const double u = dot(s, h) / det, v = dot(along, q) / det;
      if (u >= 0 && v >= 0 && u + v <= 1 && dot(e2, q) / det > 0.05) return true;
    }
  }
  return false;
}

/// Some points on the surface of a body, spread over its triangles.
std::vector<Vec3> samples(const Body& body) {
  constexpr std::size_t kSamples = 14;
  std::vector<Vec3> points;
  const auto& triangles = body.mesh->triangles;
  const std::size_t step = std::max<std::size_t>(1, triangles.size() / kSamples);
  for (std::size_t i = 0; i < triangles.size(); i += step) {
    const auto& t = triangles[i];
    points.push_back((body.vertices[t[0]] + body.vertices[t[1]] + body.vertices[t[2]]) * (1.0 / 3));
  }
  return points;
}

double seen_share(const Scene& scene, const std::vector<std::size_t>& before, const std::vector<Vec3>& points,
                  Vec3 eye) {
  std::size_t seen = 0;
  for (const Vec3& p : points)
    if (std::none_of(before.begin(), before.end(), [&](std::size_t part) {
          return ray_meets_box(scene.body(part).box, p, eye) && ray_meets(scene.tree(part), p, eye);
        }))
      ++seen;
  return points.empty() ? 1 : static_cast<double>(seen) / static_cast<double>(points.size());
}

}  // namespace

Vec3 best_view(const Scene& scene, const PartSet& present, const std::vector<SetOff>& newcomers) {
  // Right front first: what a person at the bench sees. Then steeper, from the left, from behind, from below.
  const Vec3 views[] = {{0.8, -1.2, 0.9}, {0.6, -1.0, 1.7},  {-0.8, -1.2, 0.9}, {-0.6, -1.0, 1.7},
                        {0.8, 1.2, 0.9},  {0.8, -1.2, -0.9}, {-0.8, 1.2, 0.9},  {-0.8, 1.2, -0.9}};
  const double liking[] = {0.25, 0.22, 0.2, 0.17, 0.05, 0.0, 0.04, -0.05};
  const std::vector<std::size_t> before = present.list();
  std::vector<SetOff> looked = newcomers;
  constexpr std::size_t kMost = 6;
  if (looked.size() > kMost) looked.resize(kMost);
  double best = -1e300;
  Vec3 chosen = views[0];
  for (std::size_t i = 0; i < std::size(views); ++i) {
    const Vec3 eye = unit(views[i]);
    double score = liking[i];
    for (const SetOff& n : looked) {
      std::vector<Vec3> seat = samples(scene.body(n.part)), off = seat;
      for (Vec3& p : off) p += n.shift;
      const double far = length(n.shift);
      const double across = far > 0 ? length(cross(eye, n.shift)) / far : 1;
      score += (seen_share(scene, before, off, eye) + 0.8 * seen_share(scene, before, seat, eye) +
                0.6 * std::min(across, 0.7)) /
               static_cast<double>(looked.size());
    }
    if (score > best + 1e-9) {
      best = score;
      chosen = eye;
    }
  }
  return chosen;
}

}  // namespace handlot::shapes
