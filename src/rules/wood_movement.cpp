// Wood swells and shrinks across the grain; a rigid bond to something that does not lets go or splits it.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "core/text.h"
#include "joints/expansion.h"
#include "joints/wood.h"
#include "rules/bond_reach.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/screw_shapes.h"
#include "rules/step_words.h"

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

/// As thin as that, wood is held by what it is glued on, and gives: common practice.
constexpr Millimetres kVeneer{1};

bool veneer(const Facts& facts, const PartId& part) {
  const catalogue::Card& card = facts.card_of(part);
  const auto length = card.get<Millimetres>("length"), width = card.get<Millimetres>("width"), height = card.get<Millimetres>("height");
  if (!length || !width || !height) return says_word("veneer", both_names(facts, part));
  return std::min({length->high, width->high, height->high}) <= kVeneer;
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
  Millimetres otherwise;  ///< if the other part, a strip, lies the other way; else the same
};

/// As the parts stand. The axes whose size is the width across the grain lie across it; without one, any may.
std::optional<Reach> as_placed(const Facts& facts, const job::Joint& joint, const PartId& wood, const PartId& other, const Across& grain) {
  const auto shared = shared_by_shapes(facts, wood, other);
  if (!shared) return std::nullopt;
  constexpr Millimetres kSame{0.5};
  const auto lies_across = [&](std::size_t i) { return std::abs((shared->size[i] - grain.width).value) <= kSame.value; };
  const bool known = lies_across(0) || lies_across(1) || lies_across(2);
  std::vector<Millimetres> ways;
  for (std::size_t i = 0; i < 3; ++i) {
    if (known && !lies_across(i)) continue;
    const Millimetres beside = std::max(shared->along[(i + 1) % 3], shared->along[(i + 2) % 3]);
    ways.push_back(reach_on_face(joint, std::min(grain.width, shared->along[i]), beside));
  }
  std::sort(ways.begin(), ways.end());
  // Of the three axes the shortest is the thickness of the film.
  return Reach{ways.back(), false, grain.sure, known ? ways.back() : ways[1]};
}

/// By the cards: nobody says which way the other part lies, and on a strip that counts.
Reach as_carded(const Facts& facts, const job::Joint& joint, const PartId& other, const Across& grain) {
  const catalogue::Card empty;
  const catalogue::Card& card = facts.job.part(other) == nullptr ? empty : facts.card_of(other);
  const auto length = card.get<Millimetres>("length"), width = card.get<Millimetres>("width");
  if (!length || !width) {
    const Millimetres across = reach_on_face(joint, grain.width, grain.width);
    return {across, across < grain.width, grain.sure, across};
  }
  constexpr double kStrip = 2;  // times as long as wide
  const Millimetres longer = std::max(length->high, width->high), shorter = std::min(length->high, width->high);
  const bool bore = stands_in_bore(card, joint, longer), strip = longer > shorter * kStrip;
  const Millimetres most = std::min(grain.width, bore ? shorter : longer), across = reach_on_face(joint, most, shorter);
  const Millimetres turned = reach_on_face(joint, std::min(grain.width, shorter), longer);
  return {across, across < most, grain.sure, bore || !strip ? across : turned};
}

std::optional<Reach> reach(const Facts& facts, const job::Joint& joint, const PartId& wood, const PartId& other) {
  auto grain = across_grain(facts.card_of(wood));
  if (joint.span) {
    // No wood moves over more than it is wide, where its card says how wide that is.
    const Millimetres across = grain && grain->sure ? std::min(*joint.span, grain->width) : *joint.span;
    return Reach{across, false, true, across};
  }
  if (!grain) return std::nullopt;
  grain->sure = grain->sure || plywood(facts, wood);
  if (const auto placed = as_placed(facts, joint, wood, other, *grain)) return placed;
  return as_carded(facts, joint, other, *grain);
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

/// What the sentence ends with where something is not said, and what says it.
struct Open {
  std::string what, mend;
};
Open open_of(const Reach& reached, bool both_wood, bool lies_either_way, std::string_view film) {
  const std::string usual = fmt::format("glue along the grain or at one end only, take slotted screws, or {}", film);
  if (both_wood) return {", if it is plywood or its grain runs across", usual};
  if (!reached.sure) {
    return {"; which way the grain runs is not on its card", "write grain=\"flat-sawn\" or \"quarter-sawn\" and grain-width on its card; across the grain, glue at one end only or with a flexible adhesive"};
  }
  if (!lies_either_way) return {"", usual};
  return {fmt::format(", if it lies across the grain; along it the bond reaches {} mm", number(reached.otherwise.value, 0)),
          fmt::format("write span=\"... mm\" on the bond, how far it runs across the grain, or place both parts (at, turn), the wood as wide as its grain-width; if it lies across, {}", usual)};
}

/// Whether it has said something.
bool judge(const Facts& facts, const job::Step& glue, const job::Joint& joint, const PartId& wood, const PartId& other, Yield& yield) {
  const auto reached = reach(facts, joint, wood, other);
  if (!reached || reached->across.value <= 0) return false;
  Source source;
  const auto change = moves(facts, wood, reached->across, source);
  if (!change) return false;
  const catalogue::Card& adhesive = facts.card(joint.adhesive);
  const bool gives = !rigid(adhesive);
  const auto film = joint.gap.value_or(Millimetres(0.1));
  const auto verdict_over = [&](Millimetres across) { return joints::across_bond(change->by * (across / reached->across), gives, film); };
  const auto verdict = verdict_over(reached->across), turned = verdict_over(reached->otherwise);
  if (verdict == joints::BondMovement::bears) return false;
  const bool parts = verdict == joints::BondMovement::parts;
  // Two woods whose grain runs the same way move together, and across a hand's width both give.
  const bool both_wood = wooden(facts, other);
  if (both_wood && (!parts || reached->across <= kWoodBears || plywood(facts, wood))) return false;
  const bool either_way = turned == joints::BondMovement::bears;
  const auto severity = both_wood || !reached->sure || either_way ? plan::Severity::undecided : turned == joints::BondMovement::parts ? plan::Severity::stop : plan::Severity::warn;
  Open open = open_of(*reached, both_wood, either_way, gives ? fmt::format("make the film {} mm thick", number(joints::flexible_film_for(change->by).value, 1)) : "a flexible adhesive");
  const std::string follows = gives ? fmt::format("follows {} mm of it", number(joints::flexible_bears(film).value, 2)) : "does not";
  auto f = finding("wood-movement", severity, glue,
                   fmt::format("{} moves {} mm over {}{} mm across the grain from {} %RH at the bench to {} %RH, and bond '{}' ({}) to {} {}{}", facts.name(wood),
                               number(change->by.value, 2), reached->by_area ? fmt::format("the {} mm2 of the bond, taken as ", number(joint.area->value, 0)) : "", number(reached->across.value, 0),
                               number(change->from.value, 0), number(change->to.value, 0), joint.id.text, adhesive.name, facts.name(other), follows, open.what),
                   std::move(open.mend), source);
  f.parts = {wood, other};
  yield.findings.push_back(std::move(f));
  return true;
}

}  // namespace

void wood_movement(const Facts& facts, const job::Joint& stated, Yield& yield) {
  const job::Step* glue = gluing_step(facts, stated);
  if (glue == nullptr) return;
  const job::Joint joint = as_it_runs(facts, stated);
  for (const PartId& wood : joint.between) {
    if (!wooden(facts, wood) || veneer(facts, wood)) continue;
    for (const PartId& other : joint.between) {
      const bool gives = other == wood || natural_fibre(facts, other) || facts.job.part(other) == nullptr || (wooden(facts, other) && veneer(facts, other));
      const catalogue::Card* material = material_of(facts, other);
      const bool soft = material != nullptr && material->word_or("family") == "rubber";
      // Of two woods one is enough to ask about.
      if (!gives && !soft && judge(facts, *glue, joint, wood, other, yield) && wooden(facts, other)) return;
    }
  }
}

namespace {

// What screws in plain holes let the wood move under them: half a millimetre of play each way (common practice).
constexpr Millimetres kHolesGive{1};

/// Neither grows with the damp nor gives.
bool stiff(const Facts& facts, const PartId& part) {
  const catalogue::Card* material = material_of(facts, part);
  const std::string family = material == nullptr ? "" : material->word_or("family");
  return family == "metal" || family == "ceramic" || family == "laminate" || family == "glass";
}

/// Solid wood and the stiff part that screws fix it to.
struct Pinned {
  PartId wood, plate;
  bool wood_on_top = false;  ///< the wood is clamped, and the thread is in the plate
};

/// Of the steps that lay the upper one on and drive its screws.
std::string words_of_laying(const Facts& facts, const Pinned& pinned, const PartId& screw) {
  const PartId upper = pinned.wood_on_top ? pinned.wood : pinned.plate;
  std::string words = both_names(facts, upper);
  for (const PartId& id : {upper, screw}) {
    if (const job::Step* step = facts.job.installer(id)) words += " " + step_words(*step);
  }
  return words;
}

/// Which axis of the unit lies across the grain: the one along which the wood, as it stands, is as wide as its grain-width.
std::optional<std::size_t> axis_across(const Facts& facts, const PartId& wood, Millimetres grain_width) {
  constexpr double kSame = 0.5;
  if (facts.device == nullptr || facts.device->empty()) return std::nullopt;
  const auto bodies = facts.device->bodies_of.find(wood);
  if (bodies == facts.device->bodies_of.end() || bodies->second.size() != 1) return std::nullopt;
  const shapes::Vec3 size = facts.device->scene->body(bodies->second.front()).box.size();
  std::optional<std::size_t> across;
  for (std::size_t i = 0; i < 3; ++i) {
    if (std::abs(std::array{size.x, size.y, size.z}[i] - grain_width.value) > kSame) continue;
    if (across) return std::nullopt;
    across = i;
  }
  return across;
}

/// A round hole about the screw in the upper part that leaves it no more play than usual. Slots and wide holes let the wood move.
bool held_in_hole(const Facts& facts, std::size_t body, const SeatedScrew& s) {
  const auto holes = shapes::holes_along(*facts.device->scene, body, s.sits);
  return std::any_of(holes.begin(), holes.end(), [&](const shapes::RoundHole& h) { return h.below && h.beside.value <= 0.3 && h.diameter <= s.sits.diameter + kHolesGive; });
}

/// How far apart, across the grain, the screws lie that fix one body of the plate to the wood. Nothing: it is not drawn which way they lie.
std::optional<Millimetres> pinned_over(const Facts& facts, const job::Part& screw, const Pinned& pinned, Millimetres grain_width) {
  const auto axis = axis_across(facts, pinned.wood, grain_width);
  const auto screws = seated(facts, screw);
  if (!axis || screws.size() != static_cast<std::size_t>(screw.count)) return std::nullopt;
  const auto plates = facts.device->bodies_of.find(pinned.plate);
  if (plates == facts.device->bodies_of.end()) return std::nullopt;
  Millimetres most(0);
  for (const std::size_t plate : plates->second) {
    double low = 1e300, high = -1e300;
    for (const SeatedScrew& s : screws) {
      const auto meets = [&](std::size_t body) { return std::any_of(s.sits.layers.begin(), s.sits.layers.end(), [&](const shapes::Layer& l) { return l.part == body; }); };
      const std::size_t wood = facts.device->bodies_of.at(pinned.wood).front();
      if (!meets(plate) || !meets(wood) || !held_in_hole(facts, pinned.wood_on_top ? wood : plate, s)) continue;
      const double at = std::array{s.sits.seat.x, s.sits.seat.y, s.sits.seat.z}[*axis];
      low = std::min(low, at);
      high = std::max(high, at);
    }
    most = std::max(most, Millimetres(high - low));
  }
  return most;
}

void judge_plate(const Facts& facts, const job::Part& screw, const Pinned& pinned, Yield& yield) {
  constexpr std::array<std::string_view, 4> kFree{"slot", "oval", "elongated", "oversize"}, kAlong{"along the grain", "with the grain", "along its grain", "with its grain"};
  const auto grain = across_grain(facts.card_of(pinned.wood));
  const auto length = facts.card_of(pinned.plate).get<Millimetres>("length"), width = facts.card_of(pinned.plate).get<Millimetres>("width");
  const std::string words = words_of_laying(facts, pinned, screw.id);
  if (!grain || !grain->sure || says_one_of(kFree, words) || says_one_of(kAlong, words)) return;
  const auto drawn = pinned_over(facts, screw, pinned, grain->width);
  if (!drawn && (!length || !width)) return;
  Source source;
  const Millimetres across = drawn ? *drawn : std::min(grain->width, std::max(length->high, width->high)), turned = drawn ? *drawn : std::min(grain->width, std::min(length->high, width->high));
  const auto change = across.value > 0 ? moves(facts, pinned.wood, across, source) : std::nullopt;
  if (!change || change->by <= kHolesGive) return;
  // How the holes in the wood are made, the cards alone do not say.
  const bool lies = words.find("across") != std::string::npos || change->by * (turned / across) > kHolesGive, sure = drawn || (lies && !pinned.wood_on_top);
  const std::string open = sure ? "" : lies ? ", if its holes in the wood are plain" : ", if its long side lies across the grain";
  auto f = finding(facts, "screwed-across", sure ? plan::Severity::warn : plan::Severity::note, screw,
                   fmt::format("{} moves {} mm over {} mm across the grain from {} %RH at the bench to {} %RH, and {} holds {} on it, which does not{}: the wood splits, or the screws shear", facts.name(pinned.wood), number(change->by.value, 2), number(across.value, 0),
                               number(change->from.value, 0), number(change->to.value, 0), facts.name(screw.id), facts.name(pinned.plate), open),
                   sure || lies ? "slot all holes but those of one end along its length, and say so in the step" : "say in the step that it lies along the grain; else slot all holes but those of one end, and say so", source);
  f.parts.push_back(pinned.wood_on_top ? pinned.wood : pinned.plate);
  yield.findings.push_back(std::move(f));
}

bool solid_wood(const Facts& facts, const PartId& part) { return facts.job.part(part) != nullptr && wooden(facts, part) && !plywood(facts, part); }

/// What the screw's thread ends up in: of an insert, what that is set into.
PartId base_of(const Facts& facts, const job::Part& screw) {
  const job::Part* insert = facts.job.part(screw.into);
  const bool set_in = insert != nullptr && screw.into_kind == "insert" && !insert->into.empty() && facts.job.part(insert->into) != nullptr;
  return set_in ? insert->into : screw.into;
}

}  // namespace

void screwed_across(const Facts& facts, const job::Part& screw, Yield& yield) {
  if (screw.count < 2 || screw.into.empty() || facts.card(screw.card).kind != catalogue::CardKind::screw) return;
  const PartId base = base_of(facts, screw);
  if (facts.job.part(base) == nullptr) return;
  const bool in_wood = solid_wood(facts, base), on_stiff = stiff(facts, base);
  for (const PartId& upper : screw.clamps) {
    if (facts.job.part(upper) == nullptr) continue;
    if (in_wood && stiff(facts, upper)) judge_plate(facts, screw, {base, upper, false}, yield);
    if (on_stiff && solid_wood(facts, upper) && !veneer(facts, upper)) judge_plate(facts, screw, {upper, base, true}, yield);
  }
}

}  // namespace handlot::rules
