#include <fmt/format.h>

#include <algorithm>

#include "pipeline/parts_of_plan.h"

namespace handlot::pipeline {

namespace {

using rules::Facts;

bool of_listing(const plan::Constraint& link) { return link.reason.kind == plan::ReasonKind::listing; }

/// The link that says most about why the step stands here: facts before the builder's own wishes, then waits that are over by then
/// because of the listing alone, the listing last. Null: none.
const plan::Constraint* telling_link(const graph::Order& order, const StepId& step) {
  const plan::Constraint* best = nullptr;
  const auto rank = [](const plan::Constraint& c) {
    const int weak = of_listing(c) ? 3 : c.redundant ? 2 : c.reason.builders_choice ? 1 : 0;
    return std::pair(weak, -c.min.seconds);
  };
  for (const plan::Constraint& link : order.constraints) {
    if ((link.redundant && of_listing(link)) || link.to.step != step || link.to.edge != plan::Edge::start) continue;
    if (best == nullptr || rank(link) < rank(*best)) best = &link;
  }
  return best;
}

/// Behind a step that is listed after it: the fact of the chain between them that is nearest to the step. Empty: it is not.
std::string moved_back(const Facts& facts, const graph::Order& order, const graph::Closure& closure, const job::Step& step) {
  const auto here = std::find(order.sequence.begin(), order.sequence.end(), step.id);
  for (auto at = here; at != order.sequence.begin();) {
    const job::Step* earlier = facts.job.step(*--at);
    if (earlier < &step || !closure.before(earlier->id, step.id)) continue;
    const std::vector<plan::Constraint> chain = closure.chain(earlier->id, step.id);
    const auto fact = std::find_if(chain.rbegin(), chain.rend(), [](const auto& link) { return !of_listing(link); });
    if (fact == chain.rend()) continue;
    if (fact->to.step == step.id) return fact->reason.text;
    return fmt::format("listed after '{0}', which comes after '{1}': {2}", fact->to.step.text, fact->from.step.text, fact->reason.text);
  }
  return {};
}

/// Before a step that is listed ahead of it: the fact of the chain between them that is nearest to the step. Empty: it is not.
std::string moved_forward(const Facts& facts, const graph::Order& order, const graph::Closure& closure, const job::Step& step) {
  const auto here = std::find(order.sequence.begin(), order.sequence.end(), step.id);
  for (auto at = here; at != order.sequence.end(); ++at) {
    const job::Step* later = facts.job.step(*at);
    if (later >= &step || !closure.before(step.id, later->id)) continue;
    const std::vector<plan::Constraint> chain = closure.chain(step.id, later->id);
    const auto fact = std::find_if(chain.begin(), chain.end(), [](const auto& link) { return !of_listing(link); });
    if (fact == chain.end()) continue;
    if (fact->from.step == step.id) return fmt::format("before '{}': {}", fact->to.step.text, fact->reason.text);
    return fmt::format("listed before '{0}', which comes before '{1}': {2}", fact->from.step.text, fact->to.step.text, fact->reason.text);
  }
  return {};
}

}  // namespace

std::string why_here(const Facts& facts, const graph::Order& order, const graph::Closure& closure, const job::Step& step) {
  const plan::Constraint* link = telling_link(order, step.id);
  if (link != nullptr && !of_listing(*link)) return link->reason.text;
  if (std::string moved = moved_back(facts, order, closure, step); !moved.empty()) return moved;
  if (std::string moved = moved_forward(facts, order, closure, step); !moved.empty()) return moved;
  return link == nullptr ? "nothing has to come before it" : "nothing else decides: the order of the job file is kept";
}

}  // namespace handlot::pipeline
