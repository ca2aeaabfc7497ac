#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "pipeline/parts_of_plan.h"
#include "pipeline/soldering.h"
#include "rules/moisture.h"

namespace handlot::pipeline {

namespace {

bool has(const std::vector<StepId>& steps, const StepId& id) { return std::find(steps.begin(), steps.end(), id) != steps.end(); }

/// The link of the clock counts what is left from the placing on; it was left when the lot began.
void end_by_calendar(const rules::OpenClock& clock, Instant end, plan::Wait& wait) {
  if (wait.kind != plan::ReasonKind::moisture || !wait.max || !has(clock.placings, wait.from.step) || !has(clock.ovens, wait.to.step)) return;
  if (wait.latest && *wait.latest <= end) return;
  wait.latest = end;
  if (wait.what.find(clock.clock) == std::string::npos) wait.what = fmt::format("{} and {}", clock.clock, wait.what);
}

}  // namespace

void end_by_calendar(const rules::Facts& facts, std::vector<plan::Wait>& waits) {
  const auto start = start_of(facts.job);
  if (!start) return;
  std::vector<rules::OpenClock> clocks;
  for (const job::Part& part : facts.job.parts) {
    if (auto clock = rules::open_clock(facts, part)) clocks.push_back(std::move(*clock));
  }
  std::stable_sort(clocks.begin(), clocks.end(), [](const rules::OpenClock& a, const rules::OpenClock& b) { return a.left < b.left; });
  for (const rules::OpenClock& clock : clocks) {
    for (plan::Wait& wait : waits) end_by_calendar(clock, *start + clock.left, wait);
  }
}

void floor_life_kept(const rules::Facts& facts, const plan::Plan& plan, std::vector<plan::Finding>& findings) {
  for (const job::Part& part : facts.job.parts) {
    const auto clock = rules::open_clock(facts, part);
    if (!clock) continue;
    const plan::Operation* last = nullptr;
    for (const plan::Operation& op : plan.schedule.operations) {
      const bool oven = std::find(clock->ovens.begin(), clock->ovens.end(), op.step) != clock->ovens.end();
      if (oven && (last == nullptr || op.start > last->start)) last = &op;
    }
    if (last == nullptr || last->start - plan.work.start <= clock->left) continue;
    plan::Finding f;
    f.rule = RuleId("moisture");
    f.severity = plan::Severity::stop;
    f.steps = {last->step};
    f.parts = {part.id};
    f.message = fmt::format("{} when the lot begins, and unit {} goes into '{}' {} after that", clock->text, last->last_unit, last->step.text, in_words(last->start - plan.work.start));
    f.mend = fmt::format("keep them in a dry cabinet until they are placed (kept=\"cabinet-5\" and in-room=\"...\"), begin with the boards, or {}", clock->mend);
    f.source = clock->source;
    f.place = clock->place;
    findings.push_back(std::move(f));
  }
}

}  // namespace handlot::pipeline
