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
constexpr Millimetres kWoodBears{120};  // of solid wood glued across the grain to wood

/// Long, and as thick as wide: a tube or dowel in a bore, unless the bond is as large as half of one of its sides.
bool stands_in_bore(const catalogue::Card& card, const job::Joint& joint, Millimetres length) {
  const auto width = card.get<Millimetres>("width"), height = card.get<Millimetres>("height");
  if (!width || !height) return false;
  const bool even = std::abs(width->high / height->high - 1) < 0.1, slim = length > width->high * 2;
  return even && slim && (!joint.area || joint.area->value < 0.5 * length.value * width->high.value);
}

/// How far the two boxes lie beside or inside each other, the longest way.
std::optional<Millimetres> overlap(const shapes::Box& a, const shapes::Box& b) {
  constexpr double kApart = 1;  // mm of glue
  const shapes::Box shared{{std::max(a.low.x, b.low.x), std::max(a.low.y, b.low.y), std::max(a.low.z, b.low.z)},
                           {std::min(a.high.x, b.high.x), std::min(a.high.y, b.high.y), std::min(a.high.z, b.high.z)}};
  const shapes::Vec3 size = shared.high - shared.low;
  if (std::min({size.x, size.y, size.z}) < -kApart) return std::nullopt;
  return Millimetres(std::max({size.x, size.y, size.z}));
}

std::optional<Millimetres> by_shapes(const Facts& facts, const PartId& wood, const PartId& other) {
  if (facts.device == nullptr || facts.device->empty()) return std::nullopt;
  const auto woods = facts.device->bodies_of.find(wood), others = facts.device->bodies_of.find(other);
  if (woods == facts.device->bodies_of.end() || others == facts.device->bodies_of.end()) return std::nullopt;
  std::optional<Millimetres> most;
  for (const std::size_t w : woods->second) {
    for (const std::size_t o : others->second) {
      const auto shared = overlap(facts.device->scene->body(w).box, facts.device->scene->body(o).box);
      if (shared && (!most || *shared > *most)) most = shared;
    }
  }
  return most;
}

/// The longest way along the other part that the bond may take across the wood; empty: not known.
std::optional<Millimetres> extent_of(const Facts& facts, const job::Joint& joint, const PartId& wood, const PartId& other) {
  if (const auto shared = by_shapes(facts, wood, other)) return shared;
  if (facts.job.part(other) == nullptr) return std::nullopt;
  const catalogue::Card& card = facts.card_of(other);
  const auto length = card.get<Millimetres>("length"), width = card.get<Millimetres>("width");
  if (!length || !width) return std::nullopt;
  const Millimetres longest = std::max(length->high, width->high);
  return stands_in_bore(card, joint, longest) ? width->high : longest;
}

/// Plies across each other hold it: it moves less than a third of what the calmest solid wood does, and about alike both ways.
bool plywood(const Facts& facts, const PartId& part) {
  constexpr double kCalm = 0.0003;
  const catalogue::Card* material = material_of(facts, part);
  const catalogue::Figure* moves = material == nullptr ? nullptr : material->find("movement-tangential");
  return moves != nullptr && moves->high < kCalm;
}

/// Width across the grain: as its card says, else the shorter of its sides, since boards are sawn along the grain.
struct Across {
  Millimetres width;
  bool sure = true;  ///< the card speaks of the grain
};
std::optional<Across> across_grain(const catalogue::Card& wood) {
  if (const auto width = wood.get<Millimetres>("grain-width")) return Across{width->high};
  const auto length = wood.get<Millimetres>("length"), width = wood.get<Millimetres>("width");
  if (!length || !width) return std::nullopt;
  return Across{std::min(length->high, width->high), !wood.word_or("grain").empty()};
}

/// How far the bond reaches across the grain: no further than the wood, the other part, or its own area.
struct Reach {
  Millimetres across;
  bool by_area = false;
  bool sure = true;
};
std::optional<Reach> reach(const Facts& facts, const job::Joint& joint, const PartId& wood, const PartId& other) {
  auto grain = across_grain(facts.card_of(wood));
  if (!grain) return std::nullopt;
  grain->sure = grain->sure || plywood(facts, wood);
  const Millimetres across = std::min(grain->width, extent_of(facts, joint, wood, other).value_or(grain->width));
  // A patch of this area, four times as long as wide at the most.
  const Millimetres patch(joint.area ? 2 * std::sqrt(joint.area->value) : across.value);
  return Reach{std::min(across, patch), patch < across, grain->sure};
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

/// Whether it has said something.
bool judge(const Facts& facts, const job::Step& glue, const job::Joint& joint, const PartId& wood, const PartId& other, Yield& yield) {
  const auto reached = reach(facts, joint, wood, other);
  if (!reached) return false;
  Source source;
  const auto change = moves(facts, wood, reached->across, source);
  if (!change) return false;
  const catalogue::Card& adhesive = facts.card(joint.adhesive);
  const auto film = joint.gap.value_or(Millimetres(0.1));
  const auto verdict = joints::across_bond(change->by, !rigid(adhesive), film);
  if (verdict == joints::BondMovement::bears) return false;
  const bool parts = verdict == joints::BondMovement::parts;
  // Two woods whose grain runs the same way move together, and across a hand's width both give.
  const bool both_wood = wooden(facts, other);
  if (both_wood && (!parts || reached->across <= kWoodBears || plywood(facts, wood))) return false;
  const auto severity = both_wood || !reached->sure ? plan::Severity::undecided : parts ? plan::Severity::stop : plan::Severity::warn;
  const std::string open = both_wood         ? ", if it is plywood or its grain runs across"
                           : !reached->sure ? "; which way the grain runs is not on its card"
                                            : "";
  auto f = finding("wood-movement", severity, glue,
                   fmt::format("{} moves {} mm over {}{} mm across the grain from {} %RH at the bench to {} %RH, and bond '{}' ({}) to {} does not{}", facts.name(wood),
                               number(change->by.value, 2), reached->by_area ? fmt::format("the {} mm2 of the bond, taken as ", number(joint.area->value, 0)) : "", number(reached->across.value, 0),
                               number(change->from.value, 0), number(change->to.value, 0), joint.id.text, adhesive.name, facts.name(other), open),
                   both_wood || reached->sure ? "glue along the grain or at one end only, take slotted screws, or a flexible adhesive"
                                              : "write grain=\"flat-sawn\" or \"quarter-sawn\" and grain-width on its card; across the grain, glue at one end only or with a flexible adhesive",
                   source);
  f.parts = {wood, other};
  yield.findings.push_back(std::move(f));
  return true;
}

}  // namespace

void wood_movement(const Facts& facts, const job::Joint& joint, Yield& yield) {
  const job::Step* glue = gluing_step(facts, joint);
  if (glue == nullptr) return;
  for (const PartId& wood : joint.between) {
    if (!wooden(facts, wood)) continue;
    for (const PartId& other : joint.between) {
      const bool gives = other == wood || natural_fibre(facts, other) || facts.job.part(other) == nullptr;
      const catalogue::Card* material = material_of(facts, other);
      const bool soft = material != nullptr && material->word_or("family") == "rubber";
      // Of two woods one is enough to ask about.
      if (!gives && !soft && judge(facts, *glue, joint, wood, other, yield) && wooden(facts, other)) return;
    }
  }
}

}  // namespace handlot::rules
