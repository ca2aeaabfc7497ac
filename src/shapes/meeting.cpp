// How two parts stand to each other as far as their meshes can tell.
#include <algorithm>
#include <cmath>
#include <map>

#include "shapes/distance.h"

namespace handlot::shapes {

namespace {

constexpr double kThrough = 1e-4;  ///< mm; shallower is touching
constexpr std::size_t kCrossings = 4000;

Surface placed(const Surface& s, const Placement& at) {
  Surface moved = s;
  moved.point = at.point(s.point);
  moved.axis = at.direction(s.axis);
  return moved;
}

bool on_one_axis(const Surface& a, const Surface& b) {
  if (length(cross(a.axis, b.axis)) > 1e-6) return false;
  const Vec3 between = b.point - a.point;
  return length(between - a.axis * dot(between, a.axis)) < 1e-5;
}

/// A round pin in a round hole of its own axis that is no smaller: facets may cross, the solids do not.
bool pin_in_hole(const Surface& a, const Surface& b) {
  if (a.kind != Surface::Kind::cylinder || b.kind != Surface::Kind::cylinder || a.hollow == b.hollow)
    return false;
  const double pin = a.hollow ? b.radius : a.radius, hole = a.hollow ? a.radius : b.radius;
  return pin <= hole + 1e-6 && on_one_axis(a, b);
}

/// The least and the greatest distance of the triangles of a flat face from an axis square to it.
struct Ring {
  double inner = 1e300, outer = 0;
};

double from_segment(Vec3 p, Vec3 a, Vec3 b) {
  const Vec3 along = b - a;
  const double size = dot(along, along), at = size < 1e-18 ? 0 : std::clamp(dot(p - a, along) / size, 0.0, 1.0);
  return length(p - (a + along * at));
}

Ring ring_of(const Body& body, std::uint32_t face, const Surface& round) {
  Ring ring;
  for (std::size_t i = 0; i < body.mesh->triangles.size(); ++i) {
    if (body.mesh->face_of[i] != face) continue;
    const auto& t = body.mesh->triangles[i];
    const Vec3 corners[] = {body.vertices[t[0]], body.vertices[t[1]], body.vertices[t[2]]};
    const Vec3 foot = round.point + round.axis * dot(corners[0] - round.point, round.axis);
    double left = 1e300, right = -1e300;  // of the three sides, as seen along the axis
    for (int k = 0; k < 3; ++k) {
      const Vec3 a = corners[k], b = corners[(k + 1) % 3];
      ring.outer = std::max(ring.outer, length(a - foot));
      ring.inner = std::min(ring.inner, from_segment(foot, a, b));
      const double side = dot(cross(b - a, foot - a), round.axis);
      left = std::min(left, side), right = std::max(right, side);
    }
    if (left >= 0 || right <= 0) ring.inner = 0;  // the axis goes through it
  }
  return ring;
}

/// Faces of one part against faces of another: which crossings are only facets of a pin in its hole.
class Excuses {
 public:
  Excuses(const Scene& scene, std::size_t a, std::size_t b) : body_a_(scene.body(a)), body_b_(scene.body(b)) {
    for (const Surface& s : scene.body(a).mesh->faces) a_.push_back(placed(s, scene.part(a).at));
    for (const Surface& s : scene.body(b).mesh->faces) b_.push_back(placed(s, scene.part(b).at));
    for (std::size_t i = 0; i < a_.size(); ++i)
      for (std::size_t j = 0; j < b_.size(); ++j)
        if (pin_in_hole(a_[i], b_[j])) pairs_.push_back({i, j});
  }
  bool hold(std::uint32_t face_a, std::uint32_t face_b) {
    const auto [known, first] = held_.emplace(std::pair(face_a, face_b), false);
    if (first) known->second = judged(face_a, face_b);
    return known->second;
  }

 private:
  bool judged(std::uint32_t face_a, std::uint32_t face_b) const {
    if (pin_in_hole(a_[face_a], b_[face_b])) return true;
    return std::any_of(pairs_.begin(), pairs_.end(), [&](const auto& p) {
      return (p.first == face_a && is_end(body_b_, face_b, b_[face_b], a_[face_a])) ||
             (p.second == face_b && is_end(body_a_, face_a, a_[face_a], b_[face_b]));
    });
  }
  /// The flat end of a pin, no wider than its hole, or the face round a hole, which leaves room for the pin. The bottom of a
  /// blind hole is neither.
  static bool is_end(const Body& body, std::uint32_t face, const Surface& flat, const Surface& round) {
    if (flat.kind != Surface::Kind::plane || length(cross(flat.axis, round.axis)) >= 1e-6) return false;
    const Ring ring = ring_of(body, face, round);
    return round.hollow ? ring.outer <= round.radius + 1e-5 : ring.inner >= round.radius - body.mesh->deflection - 1e-5;
  }
  const Body &body_a_, &body_b_;
  std::vector<Surface> a_, b_;
  std::vector<std::pair<std::size_t, std::size_t>> pairs_;
  std::map<std::pair<std::uint32_t, std::uint32_t>, bool> held_;
};

/// Does some point just under the surface of `a` lie inside `b`?
bool reaches_into(const TriangleTree& a, const TriangleTree& b) {
  const Body& body = a.body();
  const Box reach = b.nodes()[0].box;
  const std::size_t step = std::max<std::size_t>(1, body.mesh->triangles.size() / 200);
  for (std::size_t i = 0; i < body.mesh->triangles.size(); i += step) {
    const auto& t = body.mesh->triangles[i];
    const Vec3 p = body.vertices[t[0]], q = body.vertices[t[1]], r = body.vertices[t[2]];
    const Vec3 c = cross(q - p, r - p);
    if (length(c) < 1e-9) continue;
    const double under = std::max(1e-3, 1.5 * body.mesh->deflection + 1.5 * b.body().mesh->deflection);
    const Vec3 point = (p + q + r) * (1.0 / 3) - unit(c) * under;
    if (Box{point, point}.meets(reach) && inside(b, point) && inside(a, point)) return true;
  }
  return false;
}

}  // namespace

MeetingPair meeting(const Scene& scene, std::size_t a, std::size_t b, double reach) {
  if (!scene.body(a).box.grown(reach).meets(scene.body(b).box)) return {a, b, Meeting::apart, reach};
  const TriangleTree& ta = scene.tree(a);
  const TriangleTree& tb = scene.tree(b);
  const auto crossed = crossings(ta, tb, kThrough, kCrossings);
  if (!crossed.empty()) {
    Excuses excuses(scene, a, b);
    const auto& faces_a = scene.body(a).mesh->face_of;
    const auto& faces_b = scene.body(b).mesh->face_of;
    const bool excused =
        crossed.size() < kCrossings && std::all_of(crossed.begin(), crossed.end(), [&](const Crossing& c) {
          return excuses.hold(faces_a[c.triangle_a], faces_b[c.triangle_b]);
        });
    return {a, b, excused ? Meeting::near : Meeting::crossing, 0};
  }
  if (reaches_into(ta, tb) || reaches_into(tb, ta)) return {a, b, Meeting::within, 0};
  const double gap = nearest(ta, tb, {}, reach + 1e-9).gap;
  return {a, b, gap <= reach ? Meeting::near : Meeting::apart, gap};
}

std::vector<MeetingPair> meetings(const Scene& scene, double reach) {
  std::vector<MeetingPair> found;
  for (std::size_t a = 0; a < scene.size(); ++a)
    for (std::size_t b = a + 1; b < scene.size(); ++b)
      if (const MeetingPair pair = meeting(scene, a, b, reach); pair.how != Meeting::apart)
        found.push_back(pair);
  return found;
}

}  // namespace handlot::shapes
