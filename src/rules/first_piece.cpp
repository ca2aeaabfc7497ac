// What can't be undone or can be turned the wrong way is done once and looked at before it is repeated.
#include <fmt/format.h>

#include "core/text.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

void first_piece(const Facts& facts, const job::Step& step, Yield& yield) {
  const int units = facts.job.units;
  if (units < 2 || step.whole_lot) return;
  const bool for_good = step.irreversible || facts.process(step).yes("irreversible");
  const bool turns = step.orientation_critical || facts.process(step).yes("orientation-critical");
  if (!for_good && !turns) return;
  if (step.first_piece && !*step.first_piece) {
    auto f = finding("first-piece", plan::Severity::warn, step,
                     fmt::format("{} is repeated without a look at the first piece: a fault is made {} times before it is seen, with the look once", say(step), units),
                     "take first-piece=\"no\" out, or waive this with the reason", practice());
    f.expected_loss = 0.01 * (units - 1);  // one slip in a hundred, weak source: E54 of the needs
    yield.findings.push_back(std::move(f));
  }
  // Only what the job itself marks as turnable asks for a line that says how to see it.
  if (step.orientation_critical && step.checks.empty() && step.orientation.empty()) {
    yield.findings.push_back(finding("first-piece", plan::Severity::warn, step, fmt::format("{} can be done the wrong way round, and nothing says what to see when it is right", say(step)),
                                     "write orientation=\"...\", or add <check>an observable: the socket faces the two holes</check>", practice()));
  }
}

}  // namespace handlot::rules
