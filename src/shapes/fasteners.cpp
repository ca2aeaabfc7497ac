#include "shapes/fasteners.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"
#include "shapes/access.h"
#include "shapes/distance.h"

namespace handlot::shapes {

namespace {

constexpr double kEven = 0.02;  ///< mm; heights nearer than this are the same

/// The shank and head of a screw along its axis, `down` from the head.
struct Screw {
  Vec3 seat;  ///< on the axis
  Vec3 down;
  double radius = 0, head = 0, length = 0;
};

std::optional<Screw> screw_of(const Scene& scene, std::size_t part) {
  const auto spot = head_of(scene, part);
  if (!spot) return std::nullopt;
  const Body& body = scene.body(part);
  Screw s;
  s.down = -spot->axis;
  double far = 0;
  for (const Vec3& v : body.vertices) far = std::max(far, dot(v - spot->at, s.down));
  const auto out = [&](Vec3 v) { return length(v - spot->at - s.down * dot(v - spot->at, s.down)); };
  for (const Vec3& v : body.vertices) {
    const double at = dot(v - spot->at, s.down);
    if (at > far - kEven) s.radius = std::max(s.radius, out(v));
    s.head = std::max(s.head, out(v));
  }
  for (const Surface& f : body.mesh->faces)
    if (f.kind == Surface::Kind::cylinder && !f.hollow && f.radius < s.head - kEven)
      s.radius = std::max(s.radius, f.radius);
  if (s.head < s.radius + kEven) return std::nullopt;
  // The seat: the lowest place that is wider than the shank.
  double seat = 0;
  for (const Vec3& v : body.vertices)
    if (out(v) > s.radius + kEven) seat = std::max(seat, dot(v - spot->at, s.down));
  s.seat = spot->at + s.down * seat;
  s.length = far - seat;
  return s;
}

/// Heights at which a line along the axis passes through the surface of a part.
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

/// The widest hole of the part on the axis between two heights; 0 = none.
double hole_in(const Scene& scene, std::size_t part, const Screw& s) {
  double widest = 0;
  for (const Surface& f : scene.body(part).mesh->faces) {
    if (f.kind != Surface::Kind::cylinder || !f.hollow) continue;
    const Vec3 axis = scene.part(part).at.direction(f.axis),
               between = scene.part(part).at.point(f.point) - s.seat;
    if (length(cross(axis, s.down)) > 1e-3 || length(between - s.down * dot(between, s.down)) > 0.3) continue;
    if (widest == 0 || f.radius < widest) widest = f.radius;
  }
  return 2 * widest;
}

/// The solid stretches of a part beside the hole: a line just outside the shank or the hole, whichever is
/// wider.
void add_layers(const Scene& scene, std::size_t part, const Screw& s, bool threaded,
                std::vector<Layer>& layers) {
  const Box reach = scene.body(part).box.grown(0.1);
  if (!Box{s.seat, s.seat}.grown(s.length + 60).meets(reach)) return;
  const double hole = hole_in(scene, part, s);
  const Vec3 side = inverse(looking_along(s.down)).direction({0.8, 0.6, 0});
  const double beside = std::max(s.radius, hole / 2) + 0.15;
  const auto heights = pierced(scene.tree(part), s.seat + side * beside, s.down);
  for (std::size_t i = 0; i + 1 < heights.size(); i += 2) {
    const double from = std::max(heights[i], 0.0), to = heights[i + 1];
    if (to <= kEven || from >= s.length - kEven) continue;
    layers.push_back({part, Millimetres(from), Millimetres(to), Millimetres(hole), threaded});
  }
}

std::optional<Millimetres> room_below(const Scene& scene, std::size_t screw, const Screw& s,
                                      const PartSet& installed) {
  std::optional<Millimetres> room;
  for (std::size_t part : installed.list()) {
    if (part == screw) continue;
    for (double height : pierced(
             scene.tree(part), s.seat + inverse(looking_along(s.down)).direction({1e-3, 2e-3, 0}), s.down)) {
      if (height < s.length - kEven) continue;
      if (!room || height - s.length < room->value) room = Millimetres(std::max(0.0, height - s.length));
    }
  }
  return room;
}

bool carries_head(const Scene& scene, const Screw& s, const std::vector<Layer>& layers) {
  if (layers.empty() || layers.front().from.value > kEven) return false;
  // Eight places under the rim of the head must lie on the first layer.
  const TriangleTree& tree = scene.tree(layers.front().part);
  const Placement frame = inverse(looking_along(s.down));
  const double r = (std::max(s.radius, layers.front().hole.value / 2) + s.head) / 2;
  for (int k = 0; k < 8; ++k) {
    const Vec3 side =
        frame.direction({std::cos(k * 0.7853981634 + 0.2), std::sin(k * 0.7853981634 + 0.2), 0});
    if (!inside(tree, s.seat + side * r + s.down * 0.05)) return false;
  }
  return true;
}

}  // namespace

std::optional<ScrewSituation> screw_situation(const Scene& scene, std::size_t screw,
                                              const PartSet& installed) {
  const auto s = screw_of(scene, screw);
  if (!s) return std::nullopt;
  ScrewSituation found;
  found.diameter = Millimetres(2 * s->radius);
  found.head = Millimetres(2 * s->head);
  found.length = Millimetres(s->length);
  for (std::size_t part : installed.list())
    if (part != screw)
      add_layers(scene, part, *s, scene.declared(part, screw) == Declared::Kind::thread, found.layers);
  std::sort(found.layers.begin(), found.layers.end(),
            [](const Layer& a, const Layer& b) { return a.from < b.from; });
  double reached = 0;
  for (const Layer& layer : found.layers) {
    found.unsupported += Millimetres(std::max(0.0, layer.from.value - reached));
    reached = std::max(reached, layer.to.value);
    if (!layer.threaded) continue;
    found.grip = layer.from;
    found.thread_depth = layer.to - layer.from;
    found.engaged = Millimetres(std::min(layer.to.value, s->length) - layer.from.value);
    found.sticks_out = Millimetres(s->length) - layer.to;
    break;
  }
  if (found.unsupported.value < kEven) found.unsupported = Millimetres(0);
  found.room = room_below(scene, screw, *s, installed);
  found.head_seated = carries_head(scene, *s, found.layers);
  return found;
}

std::vector<std::string> doubts(const Scene& scene, std::size_t screw, const ScrewSituation& s) {
  std::vector<std::string> said;
  const std::string name = scene.say(screw);
  if (std::none_of(s.layers.begin(), s.layers.end(), [](const Layer& l) { return l.threaded; }))
    said.push_back(fmt::format("{} goes into no thread that was declared", name));
  if (!s.head_seated) said.push_back(fmt::format("the head of {} is not carried all round", name));
  for (const Layer& layer : s.layers) {
    const std::string other = scene.say(layer.part);
    if (layer.hole.value == 0) {
      said.push_back(fmt::format("{} has no hole for {}", other, name));
    } else if (!layer.threaded && layer.hole.value < s.diameter.value + 0.01) {
      said.push_back(fmt::format("the hole of {} in {} is {} mm, the shank {} mm", name, other,
                                 number(layer.hole.value, 2), number(s.diameter.value, 2)));
    }
    if (layer.threaded) break;
  }
  if (s.unsupported.value > kEven)
    said.push_back(fmt::format("under {} there are gaps of {} mm that tightening would close", name,
                               number(s.unsupported.value, 2)));
  if (s.room && s.room->value <= kEven)
    said.push_back(fmt::format("the tip of {} runs into something", name));
  return said;
}

}  // namespace handlot::shapes
