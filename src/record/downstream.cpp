#include <algorithm>
#include <array>
#include <set>
#include <string_view>

#include "record/state.h"

namespace handlot::record {
namespace {

/// Those of parts/processes.xml that prove something, of class test and check.
constexpr std::array<std::string_view, 9> kProving{"test", "test-load", "calibrate", "burn-in", "insulation-test", "inspect", "measure", "weigh", "dry-fit"};
/// Those that leave the unit as it was.
constexpr std::array<std::string_view, 9> kChangesNothing{"receive", "photo", "label", "sort", "put-away", "pack", "mask", "unmask", "dispose-rags"};

template <class Names>
bool is_one_of(const Names& names, const plan::Step& step) {
  return std::find(names.begin(), names.end(), step.process) != names.end();
}

/// A hold that brings no parts is a test, whatever its process is called.
bool proves(const plan::Step& step) {
  return step.parts.empty() && (step.hold || is_one_of(kProving, step));
}

/// What was tested or looked at on a part says nothing of work done on it later; a second label or look changes nothing.
bool proves_anew(const plan::Plan& plan, const plan::Constraint& link) {
  const auto *from = find_step(plan, link.from.step), *to = find_step(plan, link.to.step);
  return from && to && proves(*to) && !proves(*from) && !is_one_of(kChangesNothing, *from);
}

/// A step that brings parts of its own only waited for the bond: its parts stay where they are.
bool only_waited(const plan::Plan& plan, const plan::Constraint& link) {
  const auto* to = find_step(plan, link.to.step);
  return to && !to->parts.empty();
}

/// Does what was done at the far end of such a link rest on what was done at the near end?
bool carries_work(const plan::Plan& plan, const plan::Constraint& link) {
  using plan::ReasonKind;
  switch (link.reason.kind) {
    case ReasonKind::listing:
      return proves_anew(plan, link);
    case ReasonKind::cure:
      return !only_waited(plan, link);
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
  return reached(plan, step, [&](const plan::Constraint& link) { return carries_work(plan, link); });
}

std::vector<StepId> behind(const plan::Plan& plan, const StepId& step) {
  return reached(plan, step, [&](const plan::Constraint& link) {
    const auto kind = link.reason.kind;
    return carries_work(plan, link) || kind == plan::ReasonKind::listing || kind == plan::ReasonKind::cure;
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
