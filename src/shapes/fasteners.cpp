#include "shapes/fasteners.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "core/text.h"
#include "shapes/access.h"
#include "shapes/distance.h"
#include "shapes/pierced.h"
#include "shapes/round_faces.h"

namespace handlot::shapes {

namespace {

constexpr double kEven = 0.02;  ///< mm; heights nearer than this are the same
constexpr double kFlat = 0.2;   ///< mm; nearer than this under a flat head it bears: curved tubes, soft parts
constexpr double kRound = 0.6;  ///< of a full turn: a hole; less: a fillet, the end of a slot
constexpr double kSunk = 0.6;   ///< mm that a countersink may stand off its head: two head tables are in use

/// The shank and head of a screw along its axis, `down` from the head.
struct Screw {
  Vec3 seat;  ///< on the axis
  Vec3 down;
  double radius = 0, head = 0, length = 0;
  double cone = 0;  ///< height of a countersunk head, which lies below the seat; 0 = flat under the head
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
  // The seat of a flat head is where it ends. A countersunk one narrows along a cone that begins at its rim.
  double rim = 0, wider = 0, cone_end = 0;
  for (const Vec3& v : body.vertices) {
    const double at = dot(v - spot->at, s.down);
    if (out(v) > s.head - kEven) rim = std::max(rim, at);
    if (out(v) > s.radius + kEven) wider = std::max(wider, at);
  }
  // A pointed tip is a cone too, but no wider than the shank.
  std::vector<double> ends(body.mesh->faces.size(), 0), widths(body.mesh->faces.size(), 0);
  for (std::size_t t = 0; t < body.mesh->triangles.size(); ++t) {
    const std::uint32_t face = body.mesh->face_of[t];
    for (std::uint32_t corner : body.mesh->triangles[t]) {
      const Vec3 v = body.vertices[corner];
      ends[face] = std::max(ends[face], dot(v - spot->at, s.down));
      widths[face] = std::max(widths[face], out(v));
    }
  }
  for (std::size_t f = 0; f < ends.size(); ++f)
    if (body.mesh->faces[f].kind == Surface::Kind::cone && widths[f] > (s.radius + s.head) / 2) cone_end = std::max(cone_end, ends[f]);
  const bool sunk = cone_end - rim > 0.3 * (s.head - s.radius);
  if (sunk) s.cone = cone_end - rim;
  const double seat = sunk ? rim : wider;
  s.seat = spot->at + s.down * seat;
  s.length = far - seat;
  return s;
}

/// A hole on the screw's axis, its stretch in heights below the seat.
struct Bore {
  double radius, from, to;
};

std::vector<Bore> bores_of(const Scene& scene, std::size_t part, const Screw& s) {
  std::vector<Bore> bores;
  for (const RoundFace& f : round_faces(scene, part, true)) {
    if (!one_axis(s.seat, s.down, f.on, f.axis)) continue;
    if (!f.bounded()) {
      bores.push_back({f.radius, -1e300, 1e300});
      continue;
    }
    const double a = dot(f.on + f.axis * f.low - s.seat, s.down), b = dot(f.on + f.axis * f.high - s.seat, s.down);
    bores.push_back({f.radius, std::min(a, b), std::max(a, b)});
  }
  return bores;
}

const Bore* narrowest(const std::vector<Bore>& bores, double from, double to) {
  const Bore* found = nullptr;
  for (const Bore& b : bores)
    if (b.from < to - kEven && b.to > from + kEven && (found == nullptr || b.radius < found->radius)) found = &b;
  return found;
}

bool near_axis(const Scene& scene, std::size_t part, const Screw& s, double below) {
  Box reach;
  reach.add(s.seat);
  reach.add(s.seat + s.down * below);
  return reach.grown(s.head + 1).meets(scene.body(part).box);
}

/// A slot has no round wall, and a line just outside the shank runs down in it: its sides lie where the head bears, across
/// from each other.
std::vector<double> beside_a_slot(const Scene& scene, std::size_t part, const Screw& s) {
  const Placement frame = inverse(looking_along(s.down));
  const double out = (s.radius + s.head) / 2;
  for (int k = 0; k < 4; ++k) {
    const Vec3 side = frame.direction({std::cos(k * 0.7853981634), std::sin(k * 0.7853981634), 0});
    auto heights = pierced(scene.tree(part), s.seat + side * out, s.down);
    const auto across = pierced(scene.tree(part), s.seat - side * out, s.down);
    const auto even = [](double a, double b) { return std::abs(a - b) < kEven; };
    if (!heights.empty() && std::equal(heights.begin(), heights.end(), across.begin(), across.end(), even)) return heights;
  }
  return {};
}

/// The solid stretches of a part beside the hole, down to `reach`: a line just outside the shank or the hole, whichever is
/// wider.
void add_layers(const Scene& scene, std::size_t part, const Screw& s, bool threaded, double reach,
                std::vector<Layer>& layers) {
  if (!near_axis(scene, part, s, reach)) return;
  const std::vector<Bore> bores = bores_of(scene, part, s);
  const Bore* any = narrowest(bores, 0, reach);
  const Vec3 side = inverse(looking_along(s.down)).direction({0.8, 0.6, 0});
  const double beside = std::max(s.radius, any == nullptr ? 0 : any->radius) + 0.15;
  auto heights = pierced(scene.tree(part), s.seat + side * beside, s.down);
  const bool slot = heights.empty() && !threaded;
  if (slot) heights = beside_a_slot(scene, part, s);
  for (std::size_t i = 0; i + 1 < heights.size(); i += 2) {
    double from = std::max(heights[i], 0.0), to = heights[i + 1];
    if (to <= kEven || from >= reach - kEven) continue;
    const Bore* bore = slot ? nullptr : narrowest(bores, from, std::min(to, reach));
    if (threaded && bore != nullptr) {
      from = std::max(from, bore->from);
      to = std::min(to, bore->to);
    }
    layers.push_back({part, Millimetres(from), Millimetres(to), Millimetres(bore == nullptr ? 0 : 2 * bore->radius), threaded});
  }
}

constexpr double kFar = 200;  ///< mm below the seat; what stands further off is no matter

/// A screw too short for its thread ends over it: how far.
void look_ahead(const Scene& scene, std::size_t screw, const Screw& s, const PartSet& installed, ScrewSituation& found) {
  std::vector<Layer> ahead;
  for (std::size_t part : installed.list())
    if (part != screw && scene.declared(part, screw) == Declared::Kind::thread)
      add_layers(scene, part, s, true, kFar, ahead);
  for (const Layer& layer : ahead) {
    const Millimetres gap = layer.from - Millimetres(s.length);
    if (found.short_of && gap >= *found.short_of) continue;
    found.short_of = std::max(gap, Millimetres(0));
    found.short_of_hole = layer.hole.value > 0;
  }
}

void look_below(const Scene& scene, std::size_t screw, const Screw& s, const PartSet& installed,
                ScrewSituation& found) {
  const double thread_end = s.length - found.sticks_out.value;
  const Vec3 from = s.seat + inverse(looking_along(s.down)).direction({1e-3, 2e-3, 0});
  for (std::size_t part : installed.list()) {
    if (part == screw || !near_axis(scene, part, s, kFar)) continue;
    const auto heights = pierced(scene.tree(part), from, s.down);
    for (std::size_t i = 0; i + 1 < heights.size(); i += 2) {
      // What the tip is past already counts only as the floor of the threaded hole: a far too long screw goes through it.
      const bool floor = found.threaded && heights[i] >= thread_end - kEven;
      if (heights[i + 1] < s.length + kEven && !floor) continue;
      const double room = heights[i] - s.length;
      if (found.room && room >= found.room->value) continue;
      found.room = Millimetres(std::abs(room) < 1e-6 ? 0 : room);
      found.room_to = part;
    }
  }
}

/// Eight places under the head must lie on the first layer: below the rim of a flat head, beside a cone.
bool carries_head(const Scene& scene, const Screw& s, const std::vector<Layer>& layers) {
  if (layers.empty() || layers.front().from.value > (s.cone > 0 ? s.cone + kSunk : kFlat)) return false;
  const TriangleTree& tree = scene.tree(layers.front().part);
  const Placement frame = inverse(looking_along(s.down));
  const double flat = (std::max(s.radius, layers.front().hole.value / 2) + s.head) / 2;
  const double r = s.cone > 0 ? (s.radius + s.head) / 2 + kSunk : flat, depth = s.cone > 0 ? s.cone / 2 : kFlat + 0.05;
  std::array<bool, 8> on{};
  for (std::size_t k = 0; k < on.size(); ++k) {
    const double turn = static_cast<double>(k) * 0.7853981634 + 0.2;
    const Vec3 side = frame.direction({std::cos(turn), std::sin(turn), 0});
    on[k] = inside(tree, s.seat + side * r + s.down * depth);
  }
  if (std::all_of(on.begin(), on.end(), [](bool b) { return b; })) return true;
  // Over a slot it bears on both sides, across from each other. A slot has no round wall.
  int across = 0;
  for (std::size_t k = 0; k < 4; ++k) across += on[k] && on[k + 4] ? 1 : 0;
  return layers.front().hole.value <= 0 && across >= 2;
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
  found.seat = s->seat;
  found.down = s->down;
  for (std::size_t part : installed.list())
    if (part != screw)
      add_layers(scene, part, *s, scene.declared(part, screw) == Declared::Kind::thread, s->length, found.layers);
  std::sort(found.layers.begin(), found.layers.end(),
            [](const Layer& a, const Layer& b) { return a.from < b.from; });
  double reached = s->cone > 0 ? s->cone + kSunk : 0;
  for (const Layer& layer : found.layers) {
    found.unsupported += Millimetres(std::max(0.0, layer.from.value - reached));
    reached = std::max(reached, layer.to.value);
    if (!layer.threaded) continue;
    found.threaded = true;
    found.grip = layer.from;
    found.thread_depth = layer.to - layer.from;
    found.engaged = Millimetres(std::min(layer.to.value, s->length) - layer.from.value);
    found.sticks_out = Millimetres(s->length) - layer.to;
    break;
  }
  if (found.unsupported.value < kEven) found.unsupported = Millimetres(0);
  found.sunk = s->cone > 0;
  if (!found.threaded) look_ahead(scene, screw, *s, installed, found);
  look_below(scene, screw, *s, installed, found);
  found.head_seated = carries_head(scene, *s, found.layers);
  return found;
}

std::vector<RoundHole> holes_along(const Scene& scene, std::size_t part, const ScrewSituation& screw) {
  std::vector<RoundFace> round;  // a hole may be drawn as several faces side by side
  for (const RoundFace& face : round_faces(scene, part, true)) {
    if (!face.bounded() || !one_axis(face.on, face.axis, face.on, screw.down)) continue;
    const auto same = std::find_if(round.begin(), round.end(), [&](const RoundFace& o) {
      return std::abs(o.radius - face.radius) < 1e-6 && one_axis(o.on, o.axis, face.on, face.axis, 1e-5);
    });
    if (same == round.end()) {
      round.push_back(face);
      continue;
    }
    const double a = dot(face.on + face.axis * face.low - same->on, same->axis), b = dot(face.on + face.axis * face.high - same->on, same->axis);
    same->low = std::min({same->low, a, b});
    same->high = std::max({same->high, a, b});
    same->area += face.area;
  }
  std::vector<RoundHole> holes;
  for (const RoundFace& f : round) {
    const double half = (f.high - f.low) / 2;
    if (f.area < kRound * 2 * std::numbers::pi * f.radius * 2 * half) continue;
    const Vec3 middle = f.on + f.axis * (f.low + half), out = middle - screw.seat;
    const double deep = dot(out, screw.down);
    holes.push_back({middle, Millimetres(2 * f.radius), Millimetres(length(out - screw.down * deep)), deep + half > kEven});
  }
  return holes;
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
