#include "shapes/cables.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/text.h"
#include "shapes/distance.h"

namespace handlot::shapes {

namespace {

constexpr double kEnd = 2.0;  ///< mm at each end that lie in a connector or a joint

/// The corner at `b` of the path a-b-c: how much the line turns and the largest radius that fits half of both
/// legs.
struct Corner {
  double turn = 0;  ///< radians
  double largest = std::numeric_limits<double>::infinity();
};

Corner corner_at(Vec3 a, Vec3 b, Vec3 c, bool first, bool last) {
  const Vec3 in = b - a, out = c - b;
  Corner corner;
  corner.turn = std::acos(std::clamp(dot(unit(in), unit(out)), -1.0, 1.0));
  if (corner.turn < 1e-3) return corner;
  // Legs between two corners are shared by both; the ends have one leg to themselves.
  const double room = std::min(length(in) * (first ? 1 : 0.5), length(out) * (last ? 1 : 0.5));
  corner.largest = corner.turn > 3.14 ? 0 : room / std::tan(corner.turn / 2);
  return corner;
}

bool passes_through(const Scene& scene, std::size_t part, const std::vector<Vec3>& path) {
  const TriangleTree& tree = scene.tree(part);
  for (std::size_t i = 0; i + 1 < path.size(); ++i) {
    const double far = length(path[i + 1] - path[i]);
    const int steps = std::max(2, static_cast<int>(far / 0.5));
    for (int k = 0; k <= steps; ++k) {
      const double at = far * k / steps;
      if (i == 0 && at < kEnd) continue;
      if (i + 2 == path.size() && far - at < kEnd) continue;
      if (inside(tree, path[i] + (path[i + 1] - path[i]) * (far > 0 ? at / far : 0))) return true;
    }
  }
  return false;
}

CablePath check_path(const Scene& scene, const Cable& cable, const std::vector<Vec3>& path,
                     Millimetres least_bend, const PartSet& installed) {
  CablePath found;
  found.tightest = Millimetres(std::numeric_limits<double>::infinity());
  double total = 0;
  for (std::size_t i = 0; i + 1 < path.size(); ++i) total += length(path[i + 1] - path[i]);
  // Bends are measured at the inner side, the path is the middle of the cable.
  const double middle_bend = least_bend.value + cable.diameter.value / 2;
  for (std::size_t i = 1; i + 1 < path.size(); ++i) {
    const Corner corner = corner_at(path[i - 1], path[i], path[i + 1], i == 1, i + 2 == path.size());
    if (corner.turn < 1e-3) continue;
    if (corner.largest < found.tightest.value) {
      found.tightest = Millimetres(corner.largest);
      found.corner = i;
    }
    const double r = std::min(middle_bend, corner.largest);
    total -= r * (2 * std::tan(corner.turn / 2) - corner.turn);
  }
  found.bend_ok = found.tightest.value >= middle_bend - 1e-9;
  found.length = Millimetres(total);
  found.slack = cable.length - found.length;
  found.long_enough = found.slack.value >= 0;
  for (std::size_t part : installed.list())
    if (passes_through(scene, part, path)) found.through.push_back(part);
  return found;
}

void say(const Scene& scene, const Cable& cable, const CablePath& path, const char* when,
         Millimetres least_bend, std::vector<std::string>& texts) {
  if (!path.long_enough)
    texts.push_back(
        fmt::format("cable {} is {} mm too short {}", cable.id, number(-path.slack.value, 1), when));
  if (!path.bend_ok)
    texts.push_back(fmt::format("cable {} is bent to {} mm {} where it wants {} mm", cable.id,
                                number(std::max(0.0, path.tightest.value - cable.diameter.value / 2), 1),
                                when, number(least_bend.value, 1)));
  std::vector<std::string> names;
  for (std::size_t part : path.through) names.push_back(scene.say(part));
  if (!names.empty())
    texts.push_back(fmt::format("the path of cable {} {} passes through {}", cable.id, when, listed(names)));
}

}  // namespace

CableCheck check_cable(const Scene& scene, const Cable& cable, const PartSet& installed) {
  CableCheck check;
  Millimetres bend = cable.least_bend;
  if (bend.value <= 0) {
    bend = cable.diameter * 6;
    check.bend_source = {"", "", Standing::practice};
  }
  check.closed = check_path(scene, cable, cable.closed_path, bend, installed);
  say(scene, cable, check.closed, "with the unit closed", bend, check.texts);
  if (check.closed.long_enough && check.closed.slack < cable.slack_wanted)
    check.texts.push_back(fmt::format("cable {} leaves {} mm of slack where {} mm are wanted", cable.id,
                                      number(check.closed.slack.value, 1),
                                      number(cable.slack_wanted.value, 1)));
  if (!cable.service_path.empty()) {
    check.service.push_back(check_path(scene, cable, cable.service_path, bend, PartSet(scene.size())));
    say(scene, cable, check.service.back(), "with the unit opened", bend, check.texts);
  }
  return check;
}

}  // namespace handlot::shapes
