#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "core/text.h"
#include "pipeline/parts_of_plan.h"

namespace handlot::pipeline {

namespace {

std::string event_text(const plan::Event& e) { return fmt::format("{}.{}", e.step.text, e.edge == plan::Edge::start ? "start" : "end"); }

/// Steps that may be done while the wait runs: not ordered against it the wrong way, and shorter than it.
std::vector<StepId> meanwhile(const plan::Work& work, const plan::Wait& wait, const std::map<StepId, std::set<StepId>>& after) {
  constexpr std::size_t kMost = 4;
  std::vector<StepId> fits;
  const auto leads = [&](const StepId& a, const StepId& b) {
    const auto found = after.find(a);
    return found != after.end() && found->second.contains(b);
  };
  for (const plan::Step& step : work.steps) {
    if (step.id == wait.from.step || step.id == wait.to.step) continue;
    const Duration takes = step.timing.setup + step.timing.run;
    if (!step.timing.hands_on || takes > wait.min || !step.safe_to_stop) continue;
    if (leads(wait.to.step, step.id) || leads(step.id, wait.from.step)) continue;
    fits.push_back(step.id);
    if (fits.size() == kMost) break;
  }
  return fits;
}

std::map<StepId, std::set<StepId>> all_after(const plan::Work& work) {
  std::map<StepId, std::set<StepId>> after;
  for (auto step = work.steps.rbegin(); step != work.steps.rend(); ++step) {
    std::set<StepId>& mine = after[step->id];
    for (const plan::Constraint& link : work.constraints) {
      if (link.from.step != step->id) continue;
      mine.insert(link.to.step);
      const std::set<StepId> theirs = after[link.to.step];
      mine.insert(theirs.begin(), theirs.end());
    }
  }
  return after;
}

}  // namespace

std::vector<plan::Wait> waits_of(const rules::Facts& facts, const plan::Work& work) {
  constexpr Duration kWorthSaying = minutes(1);
  const auto after = all_after(work);
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
  std::vector<plan::Wait> waits;
  for (auto& [id, wait] : by_id) {
    if (wait.max && wait.if_late.empty()) wait.if_late = "look at the work before going on: the limit is passed";
    wait.meanwhile = meanwhile(work, wait, after);
    waits.push_back(std::move(wait));
  }
  std::stable_sort(waits.begin(), waits.end(), [&](const plan::Wait& a, const plan::Wait& b) {
    return std::pair(number.at(a.from.step), number.at(a.to.step)) < std::pair(number.at(b.from.step), number.at(b.to.step));
  });
  return waits;
}

}  // namespace handlot::pipeline
