// The glue that a step takes is the one that its bond is reckoned with.
#include <fmt/format.h>

#include <algorithm>

#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

bool takes(const job::Step& step, const CardId& card) {
  return std::any_of(step.materials.begin(), step.materials.end(), [&](const job::MaterialUse& u) { return u.card == card; });
}

/// Of the adhesives that the step takes, one that none of its bonds names; null: none.
const catalogue::Card* stranger(const Facts& facts, const job::Step& step) {
  for (const job::MaterialUse& use : step.materials) {
    const catalogue::Card& card = facts.card(use.card);
    const bool named = std::any_of(step.bonds.begin(), step.bonds.end(), [&](const JointId& id) { return facts.job.joint(id)->adhesive == use.card; });
    if (card.kind == catalogue::CardKind::adhesive && !named) return &card;
  }
  return nullptr;
}

}  // namespace

void bond_adhesive(const Facts& facts, const job::Step& step, Yield& yield) {
  const catalogue::Card* other = step.bonds.empty() ? nullptr : stranger(facts, step);
  if (other == nullptr) return;
  for (const JointId& id : step.bonds) {
    const CardId& wanted = facts.job.joint(id)->adhesive;
    // Mixed in a step of its own, or beside a drop of another that holds until it has set.
    const bool there = std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return (&s == &step || s.process.text == "mix") && takes(s, wanted); });
    if (there) continue;
    yield.findings.push_back(finding("bond-adhesive", plan::Severity::stop, step, fmt::format("bond '{}' is reckoned with {}, and {} takes {}", id.text, facts.card(wanted).name, say(step), other->name),
                                     fmt::format("write adhesive=\"{}\" in the bond, or <uses material=\"{}\"/> in the step", other->id.text, wanted.text), stated()));
  }
}

}  // namespace handlot::rules
