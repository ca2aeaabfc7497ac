#include "rules/bond_reach.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/text.h"
#include "rules/part_words.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

/// From where to where the body reaches along a direction, mm.
std::pair<double, double> ends_along(const shapes::Body& body, shapes::Vec3 direction) {
  std::pair<double, double> ends{1e300, -1e300};
  for (const shapes::Vec3 vertex : body.vertices) {
    const double at = dot(vertex, direction);
    ends = {std::min(ends.first, at), std::max(ends.second, at)};
  }
  return ends;
}

std::optional<Shared> shared_of(const shapes::Scene& scene, std::size_t part, std::size_t other) {
  constexpr double kApart = 1;  // mm of glue
  constexpr std::array<shapes::Vec3, 3> kAxes{{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}};
  Shared shared;
  for (std::size_t i = 0; i < kAxes.size(); ++i) {
    const shapes::Vec3 axis = scene.part(part).at.direction(kAxes[i]);
    const auto mine = ends_along(scene.body(part), axis), theirs = ends_along(scene.body(other), axis);
    const double both = std::min(mine.second, theirs.second) - std::max(mine.first, theirs.first);
    if (both < -kApart) return std::nullopt;
    shared.along[i] = Millimetres(std::max(0.0, both));
    shared.size[i] = Millimetres(mine.second - mine.first);
  }
  return shared;
}

bool glued_all_round(const Facts& facts, const job::Joint& joint, const PartId& id) {
  constexpr std::array<std::string_view, 6> kRound{"ring", "bezel", "frame", "rim", "hoop", "surround"};
  constexpr double kBead = 1;  // mm wide
  const job::Part* part = facts.job.part(id);
  if (part == nullptr || !joint.area) return false;
  const catalogue::Card& card = facts.card(part->card);
  const auto length = card.get<Millimetres>("length"), width = card.get<Millimetres>("width");
  if (!length || !width) return false;
  return says_one_word(kRound, both_names(facts, id)) && joint.area->value >= kBead * 2 * (length->high + width->high).value;
}

}  // namespace

std::optional<Shared> shared_by_shapes(const Facts& facts, const PartId& part, const PartId& other) {
  if (facts.device == nullptr || facts.device->empty()) return std::nullopt;
  const auto parts = facts.device->bodies_of.find(part), others = facts.device->bodies_of.find(other);
  if (parts == facts.device->bodies_of.end() || others == facts.device->bodies_of.end()) return std::nullopt;
  std::optional<Shared> most;
  for (const std::size_t p : parts->second) {
    for (const std::size_t o : others->second) {
      const auto shared = shared_of(*facts.device->scene, p, o);
      if (!shared) continue;
      if (!most) most = shared;
      for (std::size_t i = 0; i < 3; ++i) most->along[i] = std::max(most->along[i], shared->along[i]);
    }
  }
  return most;
}

Millimetres reach_on_face(const job::Joint& joint, Millimetres length, Millimetres width) {
  if (!joint.area) return length;
  const double patch = 2 * std::sqrt(joint.area->value), filled = width.value > 0 ? joint.area->value / width.value : 0;
  return std::min(length, Millimetres(std::max(patch, filled)));
}

job::Joint as_it_runs(const Facts& facts, const job::Joint& joint) {
  job::Joint bond = joint;
  if (std::any_of(joint.between.begin(), joint.between.end(), [&](const PartId& part) { return glued_all_round(facts, joint, part); })) bond.area.reset();
  return bond;
}

}  // namespace handlot::rules
