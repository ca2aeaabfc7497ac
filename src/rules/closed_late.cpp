// A closed body is not filled: what is listed before its lid and comes after it all the same is said.
#include <fmt/format.h>

#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

void closed_late(const Facts& facts, const KnownOrder& order, const job::Step& fill, Yield& yield) {
  if (fill.installs.empty() || fill.on.empty()) return;
  for (const job::Step& close : facts.job.steps) {
    if (close.process.text != "close" || close.on != fill.on || !(&fill < &close) || !order.before(close.id, fill.id)) continue;
    yield.findings.push_back(finding("closed-late", plan::Severity::warn, fill, fmt::format("{} puts {} into {}, which {} closes before that: the job lists them the other way round, and another demand turns them", say(fill), facts.name(fill.installs.front().part), facts.name(fill.on), say(close)),
                                     fmt::format("'handlot why JOB {} {}' says which; take that demand out", close.id.text, fill.id.text), practice()));
    return;
  }
}

}  // namespace handlot::rules
