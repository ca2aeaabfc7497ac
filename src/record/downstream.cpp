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
/// Those that a board or its wires work by.
constexpr std::array<std::string_view, 7> kWiring{"reflow", "hand-solder", "desolder", "tin", "wire", "crimp", "plug"};
/// What leaves flux, and what takes it off; the same of dust and crumbs [practice].
constexpr std::array<std::string_view, 4> kFluxes{"reflow", "hand-solder", "desolder", "tin"};
constexpr std::array<std::string_view, 2> kTakesFlux{"clean-flux", "wash"};
constexpr std::array<std::string_view, 7> kDusts{"saw", "drill", "sand", "turn", "deburr", "abrade", "cut-lead"};
constexpr std::array<std::string_view, 3> kTakesDust{"clean", "wash", "clean-flux"};

template <class Names>
bool is_one_of(const Names& names, const plan::Step& step) {
  return std::find(names.begin(), names.end(), step.process) != names.end();
}

/// A hold that brings no parts is a test, whatever its process is called.
bool proves(const plan::Step& step) {
  return step.parts.empty() && (step.hold || is_one_of(kProving, step));
}

bool changes(const plan::Step& step) { return !proves(step) && !is_one_of(kChangesNothing, step); }

/// What was tested or looked at on a part says nothing of work done on it later; a second label or look changes nothing.
bool proves_anew(const plan::Plan& plan, const plan::Constraint& link) {
  const auto *from = find_step(plan, link.from.step), *to = find_step(plan, link.to.step);
  return from && to && proves(*to) && changes(*from);
}

/// Takes off what the other leaves on the part each time.
bool cleans_after(const plan::Step& work, const plan::Step& cleaning) {
  return (is_one_of(kFluxes, work) && is_one_of(kTakesFlux, cleaning)) || (is_one_of(kDusts, work) && is_one_of(kTakesDust, cleaning));
}

/// The rags of the work are new ones each time; what else safety keeps apart stays as it was.
bool puts_rags_away(const plan::Plan& plan, const plan::Constraint& link) {
  const auto* to = find_step(plan, link.to.step);
  return to && to->process == "dispose-rags";
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
      return puts_rags_away(plan, link);
    case ReasonKind::clock:
    case ReasonKind::chemistry:
      return false;
    default:
      return link.min.seconds >= 0;
  }
}

using After = std::map<StepId, std::vector<StepId>>;

template <class Follow>
After links_of(const plan::Plan& plan, Follow follow) {
  After after;
  for (const auto& link : plan.work.constraints)
    if (follow(link)) after[link.from.step].push_back(link.to.step);
  return after;
}

std::vector<StepId> in_plan_order(const plan::Plan& plan, const std::set<StepId>& there) {
  std::vector<StepId> out;
  for (const auto& s : plan.work.steps)
    if (there.count(s.id)) out.push_back(s.id);
  return out;
}

/// Everything that the links lead to from `step`, through the steps that are passed.
template <class Pass>
std::set<StepId> reached(const After& after, const StepId& step, Pass pass) {
  std::set<StepId> there;
  std::vector<StepId> open{step};
  while (!open.empty()) {
    const auto links = after.find(open.back());
    open.pop_back();
    if (links == after.end()) continue;
    for (const StepId& next : links->second)
      if (next != step && there.insert(next).second && pass(next)) open.push_back(next);
  }
  return there;
}

/// Work listed between a step and its test hides the link of the two: the test rests on it all the same, as far as the
/// steps between are on the same thing and bring nothing to it; a circuit is one thing with all its parts.
std::set<StepId> proved_or_cleaned(const plan::Plan& plan, const After& listed, const plan::Step& work) {
  const auto passes = [&](const StepId& id) {
    const auto* between = find_step(plan, id);
    return between && (between->parts.empty() || (is_one_of(kWiring, work) && between->section == work.section));
  };
  std::set<StepId> out;
  for (const StepId& id : reached(listed, work.id, passes)) {
    const auto* later = find_step(plan, id);
    if (later && (proves(*later) || cleans_after(work, *later))) out.insert(id);
  }
  return out;
}

}  // namespace

std::vector<StepId> downstream(const plan::Plan& plan, const StepId& step) {
  const auto carries = [&](const plan::Constraint& link) { return carries_work(plan, link); };
  const After carried = links_of(plan, carries);
  const After listed = links_of(plan, [&](const plan::Constraint& link) { return carries(link) || link.reason.kind == plan::ReasonKind::listing; });
  std::set<StepId> there;
  std::vector<StepId> open{step};
  const auto add = [&](const StepId& id) {
    if (id != step && there.insert(id).second) open.push_back(id);
  };
  while (!open.empty()) {
    const auto* here = find_step(plan, open.back());
    open.pop_back();
    if (!here) continue;
    if (const auto links = carried.find(here->id); links != carried.end())
      for (const StepId& id : links->second) add(id);
    if (!changes(*here)) continue;
    for (const StepId& id : proved_or_cleaned(plan, listed, *here)) add(id);
  }
  return in_plan_order(plan, there);
}

std::vector<StepId> behind(const plan::Plan& plan, const StepId& step) {
  const After after = links_of(plan, [&](const plan::Constraint& link) {
    const auto kind = link.reason.kind;
    return carries_work(plan, link) || kind == plan::ReasonKind::listing || kind == plan::ReasonKind::cure;
  });
  return in_plan_order(plan, reached(after, step, [](const StepId&) { return true; }));
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
