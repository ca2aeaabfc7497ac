#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <set>

#include "core/text.h"
#include "pipeline/parts_of_plan.h"

namespace handlot::pipeline {

namespace {

std::string event_text(const plan::Event& e) { return fmt::format("{}.{}", e.step.text, e.edge == plan::Edge::start ? "start" : "end"); }

/// When the event comes for a unit; none where the plan has no schedule.
std::optional<Instant> moment_of(const plan::Schedule& schedule, const plan::Event& event, int unit) {
  for (const plan::Operation& op : schedule.operations) {
    if (op.step == event.step && op.first_unit <= unit && unit <= op.last_unit) return event.edge == plan::Edge::start ? op.start : op.end;
  }
  return std::nullopt;
}

/// Steps that the schedule puts hands on while the wait of some unit runs: what is really done meanwhile, and may be. What comes after
/// the step that waits is then done to other units, that are further: whoever stands at the wait cannot do it. Where nothing else is,
/// the step that began the wait, on other units.
std::vector<StepId> meanwhile(const plan::Plan& plan, const graph::Closure& closure, const plan::Wait& wait) {
  constexpr std::size_t kMost = 4;
  std::set<StepId> begun, own;
  for (int unit = 1; unit <= plan.work.units; ++unit) {
    const auto from = moment_of(plan.schedule, wait.from, unit), to = moment_of(plan.schedule, wait.to, unit);
    if (!from || !to) continue;
    for (const plan::Operation& op : plan.schedule.operations) {
      if (op.hands_on.seconds <= 0 || op.start < *from || op.hands_end > *to) continue;
      const bool of_unit = op.first_unit <= unit && unit <= op.last_unit;
      if (op.step == wait.from.step && !of_unit) own.insert(op.step);
      if (op.step != wait.from.step && op.step != wait.to.step && !closure.before(wait.to.step, op.step)) begun.insert(op.step);
    }
  }
  const std::set<StepId>& done = begun.empty() ? own : begun;
  std::vector<StepId> fits;
  for (const plan::Step& step : plan.work.steps) {
    if (done.contains(step.id) && fits.size() < kMost) fits.push_back(step.id);
  }
  return fits;
}

}  // namespace

std::vector<plan::Wait> waits_of(const rules::Facts& facts, const plan::Plan& plan) {
  constexpr Duration kWorthSaying = minutes(1);
  const plan::Work& work = plan.work;
  std::map<StepId, int> number;
  for (const plan::Step& s : work.steps) number[s.id] = s.number;
  std::map<std::string, plan::Wait> by_id;
  for (const plan::Constraint& link : work.constraints) {
    if (link.redundant || (link.min < kWorthSaying && !link.max)) continue;
    plan::Wait w;
    w.id = event_text(link.from) + ">" + event_text(link.to);
    w.from = link.from;
    w.to = link.to;
    w.scope = link.scope;
    w.min = std::max(Duration(0), link.min);  // of a clock that is a latest end only
    w.max = link.max;
    w.what = link.clock.empty() ? link.reason.text : link.clock;
    w.then = fmt::format("{} (step {})", facts.job.step(link.to.step)->title, number.at(link.to.step));
    w.if_late = link.if_late;
    w.kind = link.reason.kind;
    w.source = link.reason.source;
    const auto [at, fresh] = by_id.emplace(w.id, w);
    if (fresh) continue;
    // Two waits between the same events: the longer earliest and the shorter latest hold.
    if (w.min > at->second.min) {
      at->second.min = w.min;
      at->second.what = w.what;
      at->second.kind = w.kind;
      at->second.source = w.source;
    }
    if (w.max && (!at->second.max || *w.max < *at->second.max)) {
      at->second.max = w.max;
      at->second.if_late = w.if_late;
    }
  }
  std::vector<StepId> steps;
  for (const plan::Step& s : work.steps) steps.push_back(s.id);
  const graph::Closure closure(steps, work.constraints);
  std::vector<plan::Wait> waits;
  for (auto& [id, wait] : by_id) {
    if (wait.max && wait.if_late.empty()) wait.if_late = "look at the work before going on: the limit is passed";
    wait.meanwhile = meanwhile(plan, closure, wait);
    waits.push_back(std::move(wait));
  }
  std::stable_sort(waits.begin(), waits.end(), [&](const plan::Wait& a, const plan::Wait& b) {
    return std::pair(number.at(a.from.step), number.at(a.to.step)) < std::pair(number.at(b.from.step), number.at(b.to.step));
  });
  return waits;
}

}  // namespace handlot::pipeline
