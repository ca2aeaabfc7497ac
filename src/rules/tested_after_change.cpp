// A test counts when nothing is done to the part after it, before it is hidden for good.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/hidden.h"
#include "rules/matter.h"
#include "rules/named.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

/// Electrical work that can break what a test has shown.
bool changes(const job::Step& step, const PartId& part) {
  constexpr std::array<std::string_view, 8> kChanging{"hand-solder", "desolder", "reflow", "program", "wire", "crimp", "cut-lead", "tin"};
  if (std::find(kChanging.begin(), kChanging.end(), step.process.text) == kChanging.end()) return false;
  return names(step, part);
}

void judge(const Facts& facts, const KnownOrder& order, const job::Step& hiding, const PartId& part, Yield& yield) {
  std::vector<const job::Step*> before;
  for (const job::Step& test : facts.job.steps) {
    if (&test != &hiding && tests_part(facts, test, part) && order.before(test.id, hiding.id)) before.push_back(&test);
  }
  if (before.empty()) return;  // another rule's business
  for (const job::Step& change : facts.job.steps) {
    if (&change == &hiding || !changes(change, part) || order.before(hiding.id, change.id)) continue;
    const bool covered = std::any_of(before.begin(), before.end(), [&](const job::Step* test) { return &change == test || order.before(change.id, test->id); });
    if (covered) continue;
    auto f = finding("tested-after-change", plan::Severity::warn, hiding,
                     fmt::format("{} hides {}, and {} works on it after its last test", say(hiding), facts.name(part), say(change)),
                     fmt::format("test {} once more between the two, or test it after {}", facts.name(part), say(change)), practice());
    f.parts = {part};
    f.expected_loss = 0.01 * facts.job.units;  // one slip in a hundred, weak source: E54 of the needs
    yield.findings.push_back(std::move(f));
  }
}

/// A test or a look that reaches the part.
bool sees(const Facts& facts, const job::Step& step, const PartId& part) {
  const std::string work = facts.process(step).word_or("class");
  return (work == "test" || work == "check") && (tests_part(facts, step, part) || worked_on(facts, step).contains(part));
}

/// The part that a test names, that the iron goes to after it, and that nobody tests or looks at again. Empty: none.
PartId tested_too_soon(const Facts& facts, const KnownOrder& order, const job::Step& iron, const job::Step& test) {
  if (!order.before(test.id, iron.id)) return {};
  std::vector<PartId> named = iron.touches;
  named.push_back(iron.on);
  for (const PartId& part : named) {
    if (!has(test.tests, part)) continue;
    const bool again = std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return &s != &iron && !order.before(s.id, iron.id) && sees(facts, s, part); });
    if (!again) return part;
  }
  return {};
}

void iron_after_test(const Facts& facts, const KnownOrder& order, const job::Step& iron, Yield& yield) {
  if ((iron.process.text != "hand-solder" && iron.process.text != "desolder") || !iron.checks.empty()) return;
  for (const job::Step& test : facts.job.steps) {
    const PartId part = tested_too_soon(facts, order, iron, test);
    if (part.empty()) continue;
    auto f = finding("tested-after-change", plan::Severity::warn, iron, fmt::format("{} tests {} before {} solders on it, and nothing tests or looks at it after that", say(test), facts.name(part), say(iron)),
                     fmt::format("list {} after {}, or add a test or a <check>", say(test), say(iron)), practice());
    f.parts = {part};
    f.expected_loss = 0.01 * facts.job.units;  // one slip in a hundred, weak source: E54 of the needs
    yield.findings.push_back(std::move(f));
    return;
  }
}

/// Runs or measures the whole unit, and does not name what it tests of it.
bool tests_the_unit(const job::Step& step) { return step.on.text == "unit" && step.process.text != "program" && gets_power(step) && (step.tests.empty() || has(step.tests, PartId("unit"))); }

/// A board or a display that the step puts in, or what its iron goes to. Empty: none.
PartId not_yet_whole(const Facts& facts, const job::Step& step) {
  const bool iron = step.process.text == "hand-solder" || step.process.text == "desolder";
  if (iron && facts.job.part(step.on) != nullptr) return step.on;
  for (const job::Installs& i : step.installs) {
    for (const PartId& part : facts.job.within(i.part)) {
      if (marked(facts, part, "board") || marked(facts, part, "display")) return part;
    }
  }
  return {};
}

/// The unit was tested in pieces: its board comes in after that, or is soldered on, and nobody tests or looks again.
void tested_in_pieces(const Facts& facts, const KnownOrder& order, const job::Step& work, Yield& yield) {
  const PartId part = work.checks.empty() ? not_yet_whole(facts, work) : PartId();
  if (part.empty()) return;
  const auto& steps = facts.job.steps;
  const auto whole = [&](const job::Step& s) { return tests_the_unit(s) && order.before(s.id, work.id); };
  const auto test = std::find_if(steps.rbegin(), steps.rend(), whole);
  const bool again = std::any_of(steps.begin(), steps.end(), [&](const job::Step& s) { return &s != &work && !order.before(s.id, work.id) && sees(facts, s, part); });
  if (test == steps.rend() || again) return;
  const bool iron = work.process.text == "hand-solder" || work.process.text == "desolder";
  auto f = finding("tested-after-change", iron ? plan::Severity::warn : plan::Severity::undecided, work,
                   fmt::format("{} tests the unit before {} {} {}{}, and nothing tests or looks at it after that", say(*test), say(work), iron ? "solders on" : "puts", facts.name(part), iron ? "" : " in"),
                   fmt::format("list {} after {}; or write what it tests by then, tests=\"...\"", say(*test), say(work)), practice());
  f.parts = {part};
  f.expected_loss = 0.01 * facts.job.units;  // one slip in a hundred, weak source: E54 of the needs
  yield.findings.push_back(std::move(f));
}

}  // namespace

void tested_after_change(const Facts& facts, const KnownOrder& order, const job::Step& hiding, Yield& yield) {
  const std::size_t found = yield.findings.size();
  iron_after_test(facts, order, hiding, yield);
  if (yield.findings.size() == found) tested_in_pieces(facts, order, hiding, yield);
  if (!hiding.irreversible && !facts.process(hiding).yes("irreversible")) return;
  for (const PartId& part : hidden_by(facts, hiding)) judge(facts, order, hiding, part, yield);
}

}  // namespace handlot::rules
