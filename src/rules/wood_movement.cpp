// Wood swells and shrinks across the grain; a rigid bond to something that does not lets go or splits it.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"
#include "joints/expansion.h"
#include "joints/wood.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

// A heated home over the year, common practice.
constexpr RelativeHumidity kDry{30}, kDamp{65};
constexpr Celsius kHome{21};

/// How far the bond reaches across the grain: no further than the wood, the other part, or its own area.
struct Reach {
  Millimetres across;
  bool by_area = false;
};
std::optional<Reach> reach(const Facts& facts, const job::Joint& joint, const PartId& wood, const PartId& other) {
  const auto width = facts.card_of(wood).get<Millimetres>("grain-width");
  if (!width) return std::nullopt;
  Millimetres across = width->high;
  if (facts.job.part(other) != nullptr) {
    const auto length = facts.card_of(other).get<Millimetres>("length"), breadth = facts.card_of(other).get<Millimetres>("width");
    if (length && breadth) across = std::min(across, std::max(length->high, breadth->high));
  }
  // A patch of this area, four times as long as wide at the most.
  const Millimetres patch(joint.area ? 2 * std::sqrt(joint.area->value) : across.value);
  return Reach{std::min(across, patch), patch < across};
}

/// Largest change of that width over the year, from what the wood holds in this room.
struct Change {
  Millimetres by;
  RelativeHumidity from, to;
};
std::optional<Change> moves(const Facts& facts, const PartId& wood, Millimetres across, Source& source) {
  const catalogue::Card& material = *material_of(facts, wood);
  const bool quarter = facts.card_of(wood).word_or("grain").find("quarter") != std::string::npos;
  joints::Species s{};
  const auto coefficient = material.find(quarter ? "movement-radial" : "movement-tangential");
  const auto shrinkage = material.get<Percent>(quarter ? "shrinkage-radial" : "shrinkage-tangential");
  if (coefficient == nullptr && !shrinkage) return std::nullopt;
  if (coefficient != nullptr) (quarter ? s.radial : s.tangential) = coefficient->high, source = coefficient->source;
  if (shrinkage) (quarter ? s.shrink_radial : s.shrink_tangential) = shrinkage->high.value;
  if (coefficient == nullptr) source = shrinkage->source;
  const job::Bench& bench = facts.job.bench;
  const RelativeHumidity room = bench.humidity.value_or(RelativeHumidity(50));
  const auto now = joints::equilibrium_moisture(bench.temperature.value_or(kHome), room);
  const auto dry = joints::equilibrium_moisture(kHome, kDry), damp = joints::equilibrium_moisture(kHome, kDamp);
  if (!now || !dry || !damp) return std::nullopt;
  const joints::Grain grain = quarter ? joints::Grain::quarter : joints::Grain::flat;
  const auto shrinks = joints::movement(s, grain, across, *now, *dry), swells = joints::movement(s, grain, across, *now, *damp);
  if (!shrinks || !swells) return std::nullopt;
  const double dried = std::abs(shrinks->value), damped = std::abs(swells->value);
  return dried > damped ? Change{Millimetres(dried), room, kDry} : Change{Millimetres(damped), room, kDamp};
}

void judge(const Facts& facts, const job::Step& glue, const job::Joint& joint, const PartId& wood, const PartId& other, Yield& yield) {
  const auto reached = reach(facts, joint, wood, other);
  if (!reached) return;
  Source source;
  const auto change = moves(facts, wood, reached->across, source);
  if (!change) return;
  const catalogue::Card& adhesive = facts.card(joint.adhesive);
  const auto film = joint.gap.value_or(Millimetres(0.1));
  const auto verdict = joints::across_bond(change->by, !rigid(adhesive), film);
  if (verdict == joints::BondMovement::bears) return;
  const bool parts = verdict == joints::BondMovement::parts;
  auto f = finding("wood-movement", parts ? plan::Severity::stop : plan::Severity::warn, glue,
                   fmt::format("{} moves {} mm over {}{} mm across the grain from {} %RH at the bench to {} %RH, and bond '{}' ({}) to {} does not", facts.name(wood),
                               number(change->by.value, 2), reached->by_area ? fmt::format("the {} mm2 of the bond, taken as ", number(joint.area->value, 0)) : "", number(reached->across.value, 0),
                               number(change->from.value, 0), number(change->to.value, 0), joint.id.text, adhesive.name, facts.name(other)),
                   "glue along the grain or at one end only, take slotted screws, or a flexible adhesive", source);
  f.parts = {wood, other};
  yield.findings.push_back(std::move(f));
}

}  // namespace

void wood_movement(const Facts& facts, const job::Joint& joint, Yield& yield) {
  const job::Step* glue = gluing_step(facts, joint);
  if (glue == nullptr) return;
  for (const PartId& wood : joint.between) {
    if (!wooden(facts, wood)) continue;
    for (const PartId& other : joint.between) {
      // Two woods are taken to lie with the grain: only a person sees otherwise.
      const bool gives = other == wood || wooden(facts, other) || natural_fibre(facts, other) || facts.job.part(other) == nullptr;
      const catalogue::Card* material = material_of(facts, other);
      const bool soft = material != nullptr && material->word_or("family") == "rubber";
      if (!gives && !soft) judge(facts, *glue, joint, wood, other, yield);
    }
  }
}

}  // namespace handlot::rules
