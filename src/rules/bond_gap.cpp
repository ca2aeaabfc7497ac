// A gap that the adhesive does not fill is a bond that does not hold.
#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "joints/bond.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

/// From here a card that says nothing leaves something open: thinner films hold with every adhesive that wets, common practice.
constexpr Millimetres kThin{0.5};

void unknown_gap(const job::Step& glue, const job::Joint& joint, const catalogue::Card& adhesive, Yield& yield) {
  // What is cast or cures from the air inward goes by its depth.
  if (*joint.gap <= kThin || joint.gap_from_shapes || adhesive.find("depth") != nullptr || glue.process.text == "pot") return;
  yield.findings.push_back(finding("bond-gap", plan::Severity::undecided, glue,
                                   fmt::format("the gap of bond '{}' is {} mm, and the card of {} does not say what it fills", joint.id.text, number(joint.gap->value, 3), adhesive.name),
                                   "add gap=\"...\" to the card, from its data sheet, or close the gap", practice()));
}

/// Faces of a bond lie no further apart (bodies::measure_bonds): beyond, the parts do not meet as they are drawn.
constexpr Millimetres kMeets{0.600001};

/// A job that knows the area has seen the parts meet, and a soft part is drawn free: the drawing may be the one that is wrong.
bool roughly_drawn(const Facts& facts, const job::Joint& joint) {
  const bool soft = std::any_of(joint.between.begin(), joint.between.end(), [&](const PartId& id) { return gives(facts, id) || natural_fibre(facts, id); });
  return soft || (joint.area && !joint.area_from_shapes);
}

void do_not_meet(const Facts& facts, const job::Step& glue, const job::Joint& joint, const catalogue::Card& adhesive, const catalogue::Figure& most, std::string_view limit, Yield& yield) {
  yield.findings.push_back(finding("bond-gap", roughly_drawn(facts, joint) ? plan::Severity::undecided : plan::Severity::stop, glue,
                                   fmt::format("the parts of bond '{}' come no nearer than {} mm by the shapes, and {} fills {} mm at most", joint.id.text, number(joint.gap->value, 3), adhesive.name, limit),
                                   "correct the place or the shape of a part, or take an adhesive that fills it; where the drawing is rough, write gap=\"... mm\" on the bond", most.source));
}

}  // namespace

void bond_gap(const Facts& facts, const job::Joint& joint, Yield& yield) {
  const job::Step* glue = gluing_step(facts, joint);
  if (glue == nullptr || !joint.gap) return;
  const catalogue::Card& adhesive = facts.card(joint.adhesive);
  joints::AdhesiveFigures figures = adhesive_figures(adhesive, bond_rows(facts, joint));
  const auto best = adhesive.get<Millimetres>("best-gap"), most = adhesive.get<Millimetres>("gap");
  if (!most) return unknown_gap(*glue, joint, adhesive, yield);
  // An activator lets instant glue cure deeper, but no further than was published (HAT): 0.127 mm.
  const joints::GapAnswer answer = joints::gap_verdict(figures, *joint.gap, Millimetres(0));
  const std::string gap = number(joint.gap->value, 3) + (joint.gap_from_shapes ? " mm by the shapes" : " mm"), limit = answer.limit ? number(answer.limit->value, 3) : "";
  if (answer.verdict == joints::GapVerdict::too_wide && joint.gap_from_shapes && *joint.gap > kMeets) {
    do_not_meet(facts, *glue, joint, adhesive, *adhesive.find("gap"), limit, yield);
  } else if (answer.verdict == joints::GapVerdict::too_wide) {
    yield.findings.push_back(finding("bond-gap", plan::Severity::stop, *glue,
                                     fmt::format("the gap of bond '{}' is {}, and {} fills {} mm at most", joint.id.text, gap, adhesive.name, limit),
                                     "close the gap, or take an adhesive that fills it", most->source));
  } else if (most->low < most->high && *joint.gap > most->low + Millimetres(1e-9)) {
    yield.findings.push_back(finding("bond-gap", plan::Severity::undecided, *glue,
                                     fmt::format("the gap of bond '{}' is {}, and {} fills {} to {} mm by grade", joint.id.text, gap, adhesive.name, number(most->low.value, 3), number(most->high.value, 3)),
                                     "close the gap, or look up what your grade fills and write it on a card of your own", most->source));
  } else if (answer.verdict == joints::GapVerdict::weak && best) {
    yield.findings.push_back(finding("bond-gap", plan::Severity::note, *glue,
                                     fmt::format("the gap of bond '{}' is {}; {} is strongest up to {} mm", joint.id.text, gap, adhesive.name, limit),
                                     "close the gap if the bond is loaded", best->source));
  }
}

}  // namespace handlot::rules
