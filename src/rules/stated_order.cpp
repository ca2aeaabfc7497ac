// The builder's own <after>.
#include <fmt/format.h>

#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

void stated_order(const Facts& facts, const job::Step& step, Yield& yield) {
  for (const job::After& after : step.after) {
    const job::Step& first = *facts.job.step(after.step);
    plan::Constraint link = before(first, step, after.at_least,
                                   reason(plan::ReasonKind::stated, "stated-order",
                                          after.because.empty() ? fmt::format("the job puts {} before {}", say(first), say(step)) : after.because,
                                          stated(), after.place));
    link.reason.builders_choice = true;
    link.max = after.at_most;
    link.if_late = after.if_late;
    if (after.from_start) link.from.edge = plan::Edge::start;
    if (after.whole_lot) link.scope = plan::Scope::lot;
    yield.links.push_back(std::move(link));
  }
}

}  // namespace handlot::rules
