// A bond carries its load with the factor that is wanted, on what a joint made by hand is trusted with.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"
#include "joints/bond.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "bond-strength";

/// The weakest published strength for the bond's rows; empty when none is printed for them.
std::optional<catalogue::Sourced<Megapascals>> strength_of(const Facts& facts, const job::Joint& joint, const catalogue::Card& adhesive) {
  std::optional<catalogue::Sourced<Megapascals>> weakest;
  for (const std::string& row : bond_rows(facts, joint)) {
    const auto figure = adhesive.get<Megapascals>("strength", row);
    if (!figure) return std::nullopt;
    if (!weakest || figure->low < weakest->low) weakest = figure;
  }
  return weakest;
}

bool slick(const Facts& facts, const job::Joint& joint) {
  return std::any_of(joint.between.begin(), joint.between.end(), [&](const PartId& part) {
    const catalogue::Card* m = material_of(facts, part);
    const std::string row = m == nullptr ? "" : m->word_or("substrate");
    return row == "hdpe" || row == "pp" || row == "pom" || row == "silicone" || row == "ptfe";
  });
}

/// Where nothing is printed for these materials, a hand-made bond of a structural adhesive is still trusted with this much
/// on clean metal, wood, glass, laminate and most plastics [practice]. Empty: no such word for this adhesive.
std::optional<Megapascals> trusted_anyway(const Facts& facts, const job::Joint& joint, const catalogue::Card& adhesive) {
  const std::string chemistry = adhesive.word_or("chemistry");
  const bool structural = chemistry == "epoxy" || chemistry == "acrylic" || chemistry == "polyurethane";
  const bool all_wood = std::all_of(joint.between.begin(), joint.between.end(), [&](const PartId& p) { return wooden(facts, p); });
  if (slick(facts, joint)) return std::nullopt;
  if (chemistry == "wood-glue" && all_wood) return Megapascals(2);
  // The weakest pair that HAS prints for instant glue, nylon after 10 min, a quarter of it.
  if (chemistry == "cyanoacrylate") return joints::from_psi(330) * joints::kHandMade;
  return structural ? std::optional(Megapascals(1.5)) : std::nullopt;
}

/// What nobody prints a strength for, and still holds a light thing. A quarter of the 0.6 MPa that tapes are printed to bear for a moment
/// (from memory), less than half of what the weakest silicone bears.
/// Given    the faces are none that it slides off.
bool holds_a_light_thing(const catalogue::Card& adhesive) {
  const std::string chemistry = adhesive.word_or("chemistry");
  return chemistry == "other" || chemistry == "hot-melt" || chemistry == "light-cured" || chemistry == "silicone";
}
constexpr Megapascals kLightThing{0.15};

/// Tape and hot melt give way slowly to what pulls on them all the time.
bool creeps(const catalogue::Card& adhesive) {
  const std::string chemistry = adhesive.word_or("chemistry");
  return chemistry == "hot-melt" || (chemistry == "other" && !contact_glue(adhesive) && !rigid(adhesive));
}

/// Design guides of acrylic foam tape: 55 cm2 for each kg that hangs on it, from memory.
constexpr Megapascals kLasting{9.81 / 5500};

/// In peel a line carries, not the area: a tenth is what is left [practice].
double way_loaded(const job::Joint& joint) { return joint.loaded_as == "peel" ? 0.1 : 1.0; }

void undecided(const job::Step& glue, const job::Joint& joint, std::string what, std::string mend, Yield& yield) {
  yield.findings.push_back(finding(kRule, plan::Severity::undecided, glue,
                                   fmt::format("bond '{}' carries {} N, and {}", joint.id.text, number(joint.load->value, 1), what), std::move(mend), practice()));
}

bool light(const job::Joint& joint) { return joints::carry(kLightThing * way_loaded(joint), *joint.area, *joint.load, joint.load_factor.value_or(3), 1.0).holds; }

/// Of a light thing on tape or hot melt: how long it hangs there counts.
void lasting(const job::Step& glue, const job::Joint& joint, const catalogue::Card& adhesive, Yield& yield) {
  const double wanted = joint.load->value / kLasting.value / way_loaded(joint);
  if (!creeps(adhesive) || joint.area->value >= wanted) return;
  yield.findings.push_back(finding(kRule, plan::Severity::note, glue,
                                   fmt::format("bond '{}' carries {} N on {} mm2: {} bears that for a while, and creeps off under a load that stays", joint.id.text, number(joint.load->value, 1), number(joint.area->value, 0), adhesive.name),
                                   fmt::format("if the load stays, give it {} mm2, a shoulder or a screw", number(std::ceil(wanted / 10) * 10, 0)), {"", "design guides of acrylic foam tape: 55 cm2 for each kg", Standing::memory}));
}

}  // namespace

void bond_strength(const Facts& facts, const job::Joint& joint, Yield& yield) {
  const job::Step* glue = gluing_step(facts, joint);
  if (glue == nullptr || !joint.load || joint.load->value <= 0) return;
  const catalogue::Card& adhesive = facts.card(joint.adhesive);
  if (!joint.area) return undecided(*glue, joint, "its area is not known", "add area=\"... mm2\" to the bond", yield);
  const auto strength = strength_of(facts, joint, adhesive);
  const auto floor = trusted_anyway(facts, joint, adhesive);
  if (!strength && !floor) {
    if (!slick(facts, joint) && holds_a_light_thing(adhesive) && light(joint)) return lasting(*glue, joint, adhesive, yield);
    return undecided(*glue, joint, fmt::format("no strength of {} is published on its parts", adhesive.name),
                     "break a test joint, and put its strength on a card of your own", yield);
  }
  const double wanted = joint.load_factor.value_or(3);
  const auto answer = strength ? joints::carry(strength->low * way_loaded(joint), *joint.area, *joint.load, wanted)
                               : joints::carry(*floor * way_loaded(joint), *joint.area, *joint.load, wanted, 1.0);
  if (answer.holds) return;
  const bool breaks = answer.factor < 1;
  yield.findings.push_back(finding(
      kRule, breaks ? plan::Severity::stop : plan::Severity::warn, *glue,
      fmt::format("bond '{}' is trusted with {} N{}{} and carries {} N: factor {}, wanted {}", joint.id.text, number(answer.capacity.value, 0),
                  joint.loaded_as == "peel" ? " in peel" : "", joint.area_from_shapes ? fmt::format(" on the {} mm2 that the shapes show", number(joint.area->value, 0)) : "", number(joint.load->value, 1), number(answer.factor, 1), number(wanted, 1)),
      "enlarge the area, carry the load by a shoulder or a screw, or take a stronger adhesive", strength ? strength->source : practice()));
}

}  // namespace handlot::rules
