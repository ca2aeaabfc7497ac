#include "shapes/round_pair.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "shapes/round_faces.h"

namespace handlot::shapes {

std::vector<RoundFace> round_faces(const Scene& scene, std::size_t part, bool hollow) {
  const Body& body = scene.body(part);
  const Mesh& mesh = *body.mesh;
  std::vector<RoundFace> all(mesh.faces.size());
  for (std::size_t f = 0; f < mesh.faces.size(); ++f) {
    const Surface& s = mesh.faces[f];
    if (s.kind != Surface::Kind::cylinder || s.hollow != hollow) continue;
    all[f].on = scene.part(part).at.point(s.point);
    all[f].axis = unit(scene.part(part).at.direction(s.axis));
    all[f].radius = s.radius;
  }
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    RoundFace& r = all[mesh.face_of[t]];
    if (r.radius <= 0) continue;
    const auto& corners = mesh.triangles[t];
    const Vec3 first = body.vertices[corners[0]];
    r.area += length(cross(body.vertices[corners[1]] - first, body.vertices[corners[2]] - first)) / 2;
    for (const std::uint32_t corner : mesh.triangles[t]) {
      const double at = dot(body.vertices[corner] - r.on, r.axis);
      r.low = std::min(r.low, at);
      r.high = std::max(r.high, at);
    }
  }
  std::erase_if(all, [](const RoundFace& r) { return r.radius <= 0; });
  return all;
}

bool one_axis(Vec3 on, Vec3 axis, Vec3 other_on, Vec3 other_axis, double apart) {
  if (length(cross(axis, other_axis)) > 1e-3) return false;
  const Vec3 between = other_on - on;
  return length(between - axis * dot(between, axis)) <= apart;
}

namespace {

constexpr double kLeastShared = 0.05;  ///< mm, along the axis

std::optional<RoundPair> paired(const RoundFace& hole, const RoundFace& shaft) {
  if (!hole.bounded() || !shaft.bounded() || !one_axis(hole.on, hole.axis, shaft.on, shaft.axis))
    return std::nullopt;
  // The shaft's stretch on the hole's axis; the two axes may point opposite ways.
  const double a = dot(shaft.on + shaft.axis * shaft.low - hole.on, hole.axis),
               b = dot(shaft.on + shaft.axis * shaft.high - hole.on, hole.axis);
  const double low = std::max(hole.low, std::min(a, b)), high = std::min(hole.high, std::max(a, b));
  if (high - low < kLeastShared) return std::nullopt;
  return RoundPair{Millimetres(2 * hole.radius), Millimetres(2 * shaft.radius), Millimetres(high - low),
                   hole.on + hole.axis * ((low + high) / 2), hole.axis};
}

bool nearer(const RoundPair& a, const RoundPair& b) {
  const double x = std::abs(a.hole.value - a.shaft.value), y = std::abs(b.hole.value - b.shaft.value);
  if (std::abs(x - y) > 1e-6) return x < y;
  return a.length > b.length;
}

}  // namespace

std::optional<RoundPair> round_pair(const Scene& scene, std::size_t hole, std::size_t shaft) {
  std::optional<RoundPair> best;
  const std::vector<RoundFace> shafts = round_faces(scene, shaft, false);
  for (const RoundFace& h : round_faces(scene, hole, true)) {
    for (const RoundFace& s : shafts) {
      const auto pair = paired(h, s);
      if (pair && (!best || nearer(*pair, *best))) best = pair;
    }
  }
  return best;
}

std::vector<RoundWall> walls_about(const Scene& scene, std::size_t part, bool hollow, Vec3 on, Vec3 axis) {
  constexpr double kRound = 0.33;  // of all the way round
  std::vector<RoundWall> walls;
  for (const RoundFace& f : round_faces(scene, part, hollow)) {
    if (!f.bounded() || !one_axis(on, axis, f.on, f.axis)) continue;
    if (f.area < kRound * 2 * std::numbers::pi * f.radius * (f.high - f.low)) continue;
    const double a = dot(f.on + f.axis * f.low - on, axis), b = dot(f.on + f.axis * f.high - on, axis);
    walls.push_back({Millimetres(2 * f.radius), Millimetres(std::min(a, b)), Millimetres(std::max(a, b))});
  }
  return walls;
}

}  // namespace handlot::shapes
