// What an irreversible step hides is tested before, after its last change.
#include <fmt/format.h>

#include <algorithm>

#include "rules/hidden.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

bool wants_test(const catalogue::Card& card) {
  return card.yes("board") || card.yes("display") || card.yes("moving") || card.yes("cell") || card.yes("polarised");
}

/// The test names the part or what it belongs to, not only the whole unit.
bool names(const Facts& facts, const job::Step& test, const PartId& part) {
  const std::vector<PartId> bodies = facts.job.around(part);
  return std::any_of(test.tests.begin(), test.tests.end(), [&](const PartId& t) { return t == part || has(bodies, t); });
}

/// The board that the part is soldered on, which shows by its own test that the part works. A display, a motor and a cell want a look of
/// their own. Empty: none.
PartId soldered_on(const Facts& facts, const PartId& part) {
  const catalogue::Card& card = facts.card_of(part);
  const job::Step* in = facts.job.installer(part);
  const bool soldered = in != nullptr && (in->process.text == "place" || in->process.text == "hand-solder");
  return soldered && !card.yes("display") && !card.yes("moving") && !card.yes("cell") ? in->on : PartId();
}

/// A test that says nothing more tests what it is on.
bool tests_what_it_is_on(const job::Step& test, const PartId& part) { return test.process.text == "test" && test.tests.empty() && test.on == part; }

bool proves(const Facts& facts, const job::Step& test, const PartId& part) {
  if (names(facts, test, part)) return true;
  // What wants no test of its own gets one where the job names it, and forces no order otherwise.
  if (!wants_test(facts.card_of(part))) return false;
  const PartId board = soldered_on(facts, part);
  return tests_part(facts, test, part) || tests_what_it_is_on(test, part) || (!board.empty() && (names(facts, test, board) || tests_what_it_is_on(test, board)));
}

/// Done on the part or its board as it lies on the bench, so that it can be done sooner than it is listed.
bool by_itself(const Facts& facts, const job::Step& test, const job::Step& hiding, const PartId& part) {
  const bool follows = std::any_of(test.after.begin(), test.after.end(), [&](const job::After& a) { return a.step == hiding.id; });
  if (follows || test.on.empty() || same_or_within(facts, test.on, hiding.on)) return false;
  const PartId board = soldered_on(facts, part);
  return same_or_within(facts, test.on, part) || same_or_within(facts, test.on, board);
}

/// The tests that may come before the part is hidden: those listed before it; if there are none, those of the part by itself.
std::vector<const job::Step*> tests_in_time(const Facts& facts, const job::Step& hiding, const PartId& part) {
  std::vector<const job::Step*> before, sooner;
  for (const job::Step& test : facts.job.steps) {
    if (&test == &hiding || !proves(facts, test, part)) continue;
    if (&test < &hiding) before.push_back(&test);
    else if (!test.tests.empty() && by_itself(facts, test, hiding, part)) sooner.push_back(&test);
  }
  return before.empty() ? sooner : before;
}

void untested(const Facts& facts, const job::Step& hiding, const PartId& part, Yield& yield) {
  const auto& steps = facts.job.steps;
  const auto later = std::find_if(steps.begin(), steps.end(), [&](const job::Step& s) { return &s != &hiding && proves(facts, s, part); });
  auto f = finding("tested-before-hidden", plan::Severity::warn, hiding,
                   later == steps.end() ? fmt::format("{} hides {} for good, and no step tests it", say(hiding), facts.name(part))
                                        : fmt::format("{} hides {} for good, and the first that tests it is {}, listed after it", say(hiding), facts.name(part), say(*later)),
                   fmt::format("add tests=\"{}\" to a step before it", part.text), practice());
  f.parts = {part};
  yield.findings.push_back(std::move(f));
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
    for (const job::Step* test : tests_in_time(facts, step, part)) {
      options.push_back({before(*test, step, reason(plan::ReasonKind::test, "tested-before-hidden", fmt::format("{} hides {} for good, so it is tested first", say(step), facts.name(part)), practice(), step.place))});
    }
    if (!options.empty()) {
      at_least_one(yield, "tested-before-hidden", std::move(options), fmt::format("which test of {} comes before {}", facts.name(part), say(step)), step.place);
    } else if (wants_test(facts.card_of(part))) {
      untested(facts, step, part, yield);
    }
  }
}

}  // namespace handlot::rules
