#include <set>

#include "record/state.h"

namespace handlot::record {
namespace {

/// Does what was done at the far end of such a link rest on what was done at the near end?
bool carries_work(const plan::Constraint& link) {
  using plan::ReasonKind;
  switch (link.reason.kind) {
    case ReasonKind::listing:
    case ReasonKind::safety:
    case ReasonKind::clock:
    case ReasonKind::chemistry:
      return false;
    default:
      return link.min.seconds >= 0;
  }
}

/// Everything that such links lead to from `step`, in plan order.
template <class Follow>
std::vector<StepId> reached(const plan::Plan& plan, const StepId& step, Follow follow) {
  std::map<StepId, std::vector<StepId>> after;
  for (const auto& link : plan.work.constraints)
    if (follow(link)) after[link.from.step].push_back(link.to.step);
  std::set<StepId> there;
  std::vector<StepId> open{step};
  while (!open.empty()) {
    const StepId here = open.back();
    open.pop_back();
    for (const StepId& next : after[here])
      if (next != step && there.insert(next).second) open.push_back(next);
  }
  std::vector<StepId> out;
  for (const auto& s : plan.work.steps)
    if (there.count(s.id)) out.push_back(s.id);
  return out;
}

}  // namespace

std::vector<StepId> downstream(const plan::Plan& plan, const StepId& step) {
  return reached(plan, step, carries_work);
}

std::vector<StepId> behind(const plan::Plan& plan, const StepId& step) {
  return reached(plan, step, [](const plan::Constraint& link) {
    return carries_work(link) || link.reason.kind == plan::ReasonKind::listing;
  });
}

const plan::Step* find_step(const plan::Plan& plan, const StepId& id) {
  for (const auto& step : plan.work.steps)
    if (step.id == id) return &step;
  return nullptr;
}

const plan::Check* find_check(const plan::Step& step, const std::string& id) {
  for (const auto& check : step.checks)
    if (check.id == id) return &check;
  return nullptr;
}

}  // namespace handlot::record
