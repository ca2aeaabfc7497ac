// As much adhesive as the joint takes: less starves it, much more runs out where it must not.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "core/text.h"
#include "joints/bond.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr double kStarved = 0.8;  // of what the joint takes: a film and an area are known no better; common practice
constexpr double kFlood = 4;  // times what the joint takes, of what is put on by the drop; common practice. Of what is mixed, a rest stays in the cup.
constexpr double kSlip = 100;  // times what the joint takes, of what is mixed of two parts: nobody spreads so much; common practice
constexpr double kSpread = 1;  // g; of less, a rest on the spatula is many times the joint
constexpr double kDot = 0.01;  // g; what leaves a needle at the least, where the card names no drop; common practice

std::string in_milligrams(double grams) { return grams < 1 ? fmt::format("{} mg", number(grams * 1000, 1)) : fmt::format("{} g", number(grams, 2)); }

/// Rounded up to two figures: nobody weighs finer.
double rounded_up(double grams) {
  const double step = std::pow(10, std::floor(std::log10(grams)) - 1);
  return std::ceil(grams / step - 1e-6) * step;
}

/// What one unit's bonds of that adhesive in the step take, and whether shapes told an area; empty when one is not known.
std::optional<double> needed_grams(const Facts& facts, const job::Step& step, const catalogue::Card& adhesive, std::string& by_shapes) {
  double grams = 0;
  bool any = false;
  for (const JointId& id : step.bonds) {
    const job::Joint& joint = *facts.job.joint(id);
    if (joint.adhesive != adhesive.id) continue;
    if (!joint.area) return std::nullopt;
    any = true;
    if (joint.area_from_shapes) by_shapes = fmt::format(" ({} mm2 by the shapes)", number(joint.area->value, 0));
    const auto figures = adhesive_figures(adhesive, {""});
    grams += joints::amount(figures, *joint.area, std::max(joint.gap.value_or(figures.film.value_or(Millimetres(0.05))), Millimetres(0.05))).mass.value;
  }
  return any ? std::optional(grams) : std::nullopt;
}

bool poured(const Facts& facts, const job::Step& step) {
  return step.process.text == "pot" || std::any_of(step.bonds.begin(), step.bonds.end(), [&](const JointId& id) { return facts.job.joint(id)->depth.has_value(); });
}

/// What is put on drop by drop, by its card, or as what comes ready from a needle and hardens by light. Resin cast to a depth is not.
bool by_drops(const Facts& facts, const job::Step& step, const catalogue::Card& adhesive) {
  if (adhesive.find("drop") != nullptr) return true;
  return adhesive.word_or("chemistry") == "light-cured" && !poured(facts, step);
}

/// Something near the bond that squeeze-out spoils.
std::optional<PartId> spoilt_by_surplus(const Facts& facts, const job::Step& step) {
  for (const PartId& part : worked_on(facts, step)) {
    if (optical(facts, part) || marked(facts, part, "moving")) return part;
  }
  return std::nullopt;
}

/// The `amount` to write: of one piece, where the job counts them, and for the lot, where the step is done once.
std::string amount_for(const Facts& facts, const job::Step& step, const job::MaterialUse& use, double grams_a_unit) {
  const int pieces = use.pieces.value_or(1);
  const double grams = grams_a_unit * (step.whole_lot ? facts.job.units : 1);
  const std::string one = fmt::format("plan amount=\"{}\"", in_milligrams(rounded_up(grams / pieces)));
  return pieces == 1 ? one : fmt::format("{} for each of the {}", one, pieces);
}

}  // namespace

void bond_amount(const Facts& facts, const job::Step& step, Yield& yield) {
  std::set<CardId> judged;  // all that the step uses of a card is one amount
  for (const job::MaterialUse& use : step.materials) {
    const catalogue::Card& adhesive = facts.card(use.card);
    if (!judged.insert(use.card).second) continue;
    if (adhesive.kind != catalogue::CardKind::adhesive || adhesive.word_or("chemistry") == "anaerobic") continue;
    std::string by_shapes;
    const auto needed = needed_grams(facts, step, adhesive, by_shapes);
    const auto given = mass_used(facts, step, adhesive);
    if (!needed || !given) continue;
    const auto drop = adhesive.get<Grams>("drop");
    const bool dripped = by_drops(facts, step, adhesive);
    const double least = dripped ? std::max(*needed, drop ? drop->high.value : kDot) : *needed;
    if (given->value < *needed * kStarved) {
      yield.findings.push_back(finding("bond-amount", plan::Severity::warn, step,
                                       fmt::format("{} takes {} of {} a unit{}, and {} are planned", say(step), in_milligrams(*needed), adhesive.name, by_shapes, in_milligrams(given->value)),
                                       amount_for(facts, step, use, least), practice()));
    } else if (const auto spoilt = dripped ? spoilt_by_surplus(facts, step) : std::nullopt; spoilt && given->value > least * kFlood) {
      auto f = finding("bond-amount", plan::Severity::warn, step,
                       fmt::format("{} takes {} of {} a unit{}, and {} are planned: the surplus runs out beside {}", say(step), in_milligrams(*needed), adhesive.name,
                                   by_shapes, in_milligrams(given->value), facts.name(*spoilt)),
                       amount_for(facts, step, use, least), practice());
      f.parts = {*spoilt};
      yield.findings.push_back(std::move(f));
    } else if (adhesive.yes("two-part") && !dripped && !poured(facts, step) && given->value > *needed * kSlip && given->value > kSpread) {
      yield.findings.push_back(finding("bond-amount", plan::Severity::undecided, step,
                                       fmt::format("{} takes {} of {} a unit{}, and {} are planned: is it a slip of the unit, or of the area", say(step), in_milligrams(*needed), adhesive.name, by_shapes, in_milligrams(given->value)),
                                       amount_for(facts, step, use, least) + "; what is left in the cup is mixed-at-once, not amount", practice()));
    }
  }
}

}  // namespace handlot::rules
