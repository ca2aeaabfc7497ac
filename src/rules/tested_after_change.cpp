// A test counts when nothing is done to the part after it, before it is hidden for good.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/hidden.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

/// Electrical work that can break what a test has shown.
bool changes(const Facts& facts, const job::Step& step, const PartId& part) {
  constexpr std::array<std::string_view, 8> kChanging{"hand-solder", "desolder", "reflow", "program", "wire", "crimp", "cut-lead", "tin"};
  if (std::find(kChanging.begin(), kChanging.end(), step.process.text) == kChanging.end()) return false;
  const bool installs = std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return i.part == part; });
  const bool touches = std::find(step.touches.begin(), step.touches.end(), part) != step.touches.end();
  (void)facts;
  return step.on == part || installs || touches;
}

void judge(const Facts& facts, const KnownOrder& order, const job::Step& hiding, const PartId& part, Yield& yield) {
  std::vector<const job::Step*> before;
  for (const job::Step& test : facts.job.steps) {
    if (&test != &hiding && tests_part(facts, test, part) && order.before(test.id, hiding.id)) before.push_back(&test);
  }
  if (before.empty()) return;  // another rule's business
  for (const job::Step& change : facts.job.steps) {
    if (&change == &hiding || !changes(facts, change, part) || order.before(hiding.id, change.id)) continue;
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

}  // namespace

void tested_after_change(const Facts& facts, const KnownOrder& order, const job::Step& hiding, Yield& yield) {
  if (!hiding.irreversible && !facts.process(hiding).yes("irreversible")) return;
  for (const PartId& part : hidden_by(facts, hiding)) judge(facts, order, hiding, part, yield);
}

}  // namespace handlot::rules
