// A bond carries its load with the factor that is wanted, on what a joint made by hand is trusted with.
#include <fmt/format.h>

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

/// Where nothing is printed for these materials, a hand-made bond of a structural adhesive is still trusted with this much
/// on clean metal, wood, glass, laminate and most plastics [practice]. Empty: no such word for this adhesive.
std::optional<Megapascals> trusted_anyway(const Facts& facts, const job::Joint& joint, const catalogue::Card& adhesive) {
  const std::string chemistry = adhesive.word_or("chemistry");
  const bool structural = chemistry == "epoxy" || chemistry == "acrylic" || chemistry == "polyurethane";
  bool all_wood = true, slick = false;
  for (const PartId& part : joint.between) {
    all_wood = all_wood && wooden(facts, part);
    const catalogue::Card* m = material_of(facts, part);
    const std::string row = m == nullptr ? "" : m->word_or("substrate");
    slick = slick || row == "hdpe" || row == "pp" || row == "pom" || row == "silicone" || row == "ptfe";
  }
  if (slick) return std::nullopt;
  if (chemistry == "wood-glue" && all_wood) return Megapascals(2);
  // The weakest pair that HAS prints for instant glue, nylon after 10 min, a quarter of it.
  if (chemistry == "cyanoacrylate") return joints::from_psi(330) * joints::kHandMade;
  return structural ? std::optional(Megapascals(1.5)) : std::nullopt;
}

/// In peel a line carries, not the area: a tenth is what is left [practice].
double way_loaded(const job::Joint& joint) { return joint.loaded_as == "peel" ? 0.1 : 1.0; }

void undecided(const job::Step& glue, const job::Joint& joint, std::string what, std::string mend, Yield& yield) {
  yield.findings.push_back(finding(kRule, plan::Severity::undecided, glue,
                                   fmt::format("bond '{}' carries {} N, and {}", joint.id.text, number(joint.load->value, 1), what), std::move(mend), practice()));
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
