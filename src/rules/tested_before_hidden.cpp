// What an irreversible step hides is tested before, after its last change.
#include <fmt/format.h>

#include <algorithm>

#include "rules/hidden.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

bool wants_test(const catalogue::Card& card) {
  return card.yes("board") || card.yes("display") || card.yes("moving") || card.yes("cell") || card.yes("polarised");
}

}  // namespace

std::set<PartId> hidden_by(const Facts& facts, const job::Step& step) {
  std::set<PartId> hidden;
  for (const PartId& id : step.hides) {
    for (const PartId& inside : facts.job.within(id)) hidden.insert(inside);
  }
  return hidden;
}

bool tests_part(const Facts& facts, const job::Step& step, const PartId& part) {
  return std::any_of(step.tests.begin(), step.tests.end(), [&](const PartId& t) {
    const std::vector<PartId> inside = facts.job.within(t);
    return t.text == "unit" || std::find(inside.begin(), inside.end(), part) != inside.end();
  });
}

void tested_before_hidden(const Facts& facts, const job::Step& step, Yield& yield) {
  const bool for_good = step.irreversible || facts.process(step).yes("irreversible");
  if (!for_good) return;
  for (const PartId& part : hidden_by(facts, step)) {
    std::vector<std::vector<plan::Constraint>> options;
    for (const job::Step& test : facts.job.steps) {
      if (&test == &step || !tests_part(facts, test, part)) continue;
      options.push_back({before(test, step, reason(plan::ReasonKind::test, "tested-before-hidden", fmt::format("{} hides {} for good, so it is tested first", say(step), facts.name(part)), practice(), step.place))});
    }
    if (!options.empty()) {
      at_least_one(yield, "tested-before-hidden", std::move(options), fmt::format("which test of {} comes before {}", facts.name(part), say(step)), step.place);
    } else if (wants_test(facts.card_of(part))) {
      auto f = finding("tested-before-hidden", plan::Severity::warn, step, fmt::format("{} hides {} for good, and no step tests it", say(step), facts.name(part)),
                       fmt::format("add tests=\"{}\" to a step before it", part.text), practice());
      f.parts = {part};
      yield.findings.push_back(std::move(f));
    }
  }
}

}  // namespace handlot::rules
