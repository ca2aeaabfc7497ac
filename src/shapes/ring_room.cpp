#include "shapes/ring_room.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "shapes/distance.h"
#include "shapes/pierced.h"
#include "shapes/round_pair.h"

namespace handlot::shapes {

namespace {

using Side = RingRoom::Side;

/// Parts that come as near as `reach` to the ring; itself left out.
std::vector<std::size_t> beside(const Scene& scene, std::size_t ring, double reach) {
  const Box about = scene.body(ring).box.grown(reach);
  std::vector<std::size_t> parts;
  for (std::size_t i = 0; i < scene.size(); ++i) {
    if (i != ring && about.meets(scene.body(i).box)) parts.push_back(i);
  }
  return parts;
}

/// The nearest surface along the line, from a point in the open.
std::optional<Side> along(const Scene& scene, const std::vector<std::size_t>& parts, Vec3 from, Vec3 way, double reach) {
  std::optional<Side> nearest;
  for (const std::size_t part : parts) {
    for (const double height : pierced(scene.tree(part), from, way)) {
      if (height < 0 || height > reach || (nearest && height >= nearest->away.value)) continue;
      nearest = Side{part, Millimetres(height)};
    }
  }
  return nearest;
}

/// Of as many lines as see something, the middle one; none where most see nothing: a screw hole or a notch is passed over.
std::optional<Side> middle_of(std::vector<std::optional<Side>> seen) {
  std::sort(seen.begin(), seen.end(), [](const auto& a, const auto& b) { return (a ? a->away.value : 1e300) < (b ? b->away.value : 1e300); });
  return seen[seen.size() / 2];
}

/// The round walls beside the middle of the section.
void across(const Scene& scene, const std::vector<std::size_t>& parts, Vec3 centre, Vec3 axis, double reach, RingRoom& room) {
  const Millimetres middle((room.inner + room.outer).value / 2);
  const auto about = [](const RoundWall& w) { return w.low.value < 0 && w.high.value > 0; };
  for (const std::size_t part : parts) {
    for (const RoundWall& wall : walls_about(scene, part, false, centre, axis)) {
      const Millimetres away((middle - wall.diameter).value / 2);
      if (!about(wall) || away.value < 0 || away.value > reach || (room.within && away >= room.within->away)) continue;
      room.within = Side{part, away};
      room.floor = wall.diameter;
    }
    for (const RoundWall& wall : walls_about(scene, part, true, centre, axis)) {
      const Millimetres away((wall.diameter - middle).value / 2);
      if (about(wall) && away.value >= 0 && away.value <= reach && (!room.around || away < room.around->away)) room.around = Side{part, away};
    }
  }
}

/// A cord that is drawn round, as in most STEP files: all its faces lie on one torus.
std::optional<RoundPair> round_cord(const Scene& scene, std::size_t ring) {
  constexpr double kSame = 0.02;  // of its thickness
  const Body& body = scene.body(ring);
  if (body.mesh->faces.empty()) return std::nullopt;
  const Surface& one = body.mesh->faces.front();
  const bool torus = std::all_of(body.mesh->faces.begin(), body.mesh->faces.end(), [&](const Surface& s) {
    return s.kind == Surface::Kind::torus && std::abs(s.radius - one.radius) < 1e-3 && length(s.point - one.point) < 1e-3 && length(cross(s.axis, one.axis)) < 1e-3;
  });
  if (!torus) return std::nullopt;
  const Vec3 at = scene.part(ring).at.point(one.point), axis = unit(scene.part(ring).at.direction(one.axis));
  double thin = 1e300, thick = 0;
  for (const Vec3 v : body.vertices) {
    const double height = dot(v - at, axis), from_cord = std::hypot(length(v - at - axis * height) - one.radius, height);
    thin = std::min(thin, from_cord);
    thick = std::max(thick, from_cord);
  }
  if (thick <= 0 || thin < (1 - kSame) * thick || thick >= one.radius) return std::nullopt;
  return RoundPair{Millimetres(2 * (one.radius - thick)), Millimetres(2 * (one.radius + thick)), Millimetres(2 * thick), at, axis};
}

}  // namespace

std::optional<RingRoom> ring_room(const Scene& scene, std::size_t ring, Millimetres reach) {
  auto own = round_pair(scene, ring, ring);
  if (!own) own = round_cord(scene, ring);
  if (!own || own->hole >= own->shaft) return std::nullopt;
  RingRoom room{own->hole, own->shaft, own->length, {}, {}, {}, {}, Millimetres(0)};
  const std::vector<std::size_t> parts = beside(scene, ring, reach.value);
  const double radius = (room.inner + room.outer).value / 4;
  const Placement frame = inverse(looking_along(own->axis));
  const auto on_the_cord = [&](Vec3 centre, int turn) {
    const double angle = (turn + 0.3) * std::numbers::pi / 4;
    return centre + frame.direction({std::cos(angle) * radius, std::sin(angle) * radius, 0});
  };
  // Drawn free, it reaches into what squeezes it: its section is looked at where that leaves it open.
  constexpr std::array<double, 3> kShifts{0, -0.25, 0.25};
  for (const double shift : kShifts) {
    const Vec3 centre = own->at + own->axis * (shift * room.height.value);
    if (std::any_of(parts.begin(), parts.end(), [&](std::size_t p) { return inside(scene.tree(p), on_the_cord(centre, 0)); })) continue;
    std::vector<std::optional<Side>> down, up;
    for (int turn = 0; turn < 8; ++turn) {
      down.push_back(along(scene, parts, on_the_cord(centre, turn), -own->axis, reach.value));
      up.push_back(along(scene, parts, on_the_cord(centre, turn), own->axis, reach.value));
    }
    room.below = middle_of(std::move(down));
    room.above = middle_of(std::move(up));
    across(scene, parts, centre, own->axis, reach.value, room);
    return room;
  }
  return std::nullopt;
}

}  // namespace handlot::shapes
