#include "pipeline/replan.h"

#include <catch2/catch.hpp>
#include <ctime>

#include "pipeline/make_plan.h"

using namespace handlot;
using namespace handlot::pipeline;

namespace {

Outcome demo(const std::string& name) {
  Request request;
  request.job_file = std::string(HANDLOT_TOP) + "/jobs/" + name + "/job.xml";
  request.card_folders = card_folders(request.job_file, {});
  request.want_pictures = false;
  auto outcome = make_plan(request);
  if (!outcome) FAIL(format(outcome.error().front()));
  return std::move(*outcome);
}

/// The operation of a step that holds a unit.
const plan::Operation* operation(const plan::Schedule& s, const StepId& step, int unit) {
  for (const plan::Operation& o : s.operations) {
    if (o.step == step && o.first_unit <= unit && unit <= o.last_unit) return &o;
  }
  return nullptr;
}

/// Every link between two events of one unit, read straight off the operations.
/// With `late`, latest ends are not asked of: some had passed before there was anything to plan.
int broken_links(const plan::Plan& plan, const std::set<int>& scrapped, bool late = false) {
  int broken = 0;
  const auto at = [](const plan::Operation& o, plan::Edge e) { return e == plan::Edge::start ? o.start : o.end; };
  for (const plan::Constraint& c : plan.work.constraints) {
    for (int unit = 1; unit <= plan.head.lot; ++unit) {
      if (scrapped.contains(unit) || c.scope == plan::Scope::lot) continue;
      const plan::Operation *from = operation(plan.schedule, c.from.step, unit), *to = operation(plan.schedule, c.to.step, unit);
      if (from == nullptr || to == nullptr) continue;
      const Duration gap = at(*to, c.to.edge) - at(*from, c.from.edge);
      if (gap < c.min || (!late && c.max && gap > *c.max)) {
        ++broken;
        UNSCOPED_INFO(c.from.step.text << " > " << c.to.step.text << " unit " << unit << ": " << gap.seconds << " s, min " << c.min.seconds << " max " << (c.max ? c.max->seconds : -1) << " edges " << static_cast<int>(c.from.edge) << static_cast<int>(c.to.edge));
      }
    }
  }
  return broken;
}

}  // namespace

TEST_CASE("the rest of a half-done lot is planned anew and keeps every link with what was done", "[pipeline]") {
  const Outcome outcome = demo("tide-dial");
  const plan::Plan& plan = outcome.plan;
  REQUIRE(broken_links(plan, {}) == 0);
  Progress progress;
  const std::size_t half = plan.schedule.operations.size() / 2;
  progress.now = plan.schedule.operations[half].start;
  for (const plan::Operation& o : plan.schedule.operations) {
    if (o.start >= progress.now) continue;  // what is in hand runs to its planned end
    for (int unit = o.first_unit; unit <= o.last_unit; ++unit) progress.done.push_back({o.step, unit, o.start, o.end});
  }
  const bool late = GENERATE(false, true);
  if (late) progress.now = progress.now + hours(20);  // the builder comes back a day late
  progress.scrapped = {4};
  const std::clock_t before = std::clock();
  const auto next = replan(plan, progress, 2);
  const double took = static_cast<double>(std::clock() - before) / CLOCKS_PER_SEC;
  REQUIRE(next);
  CAPTURE(took, word(next->schedule.status));
  REQUIRE_FALSE(next->schedule.status == plan::Schedule::Status::stopped);
  if (!late) REQUIRE_FALSE(next->schedule.status == plan::Schedule::Status::infeasible);
  if (next->schedule.status == plan::Schedule::Status::infeasible) {
    CHECK_FALSE(next->schedule.clash.empty());  // a latest end has passed: said, not hidden
  } else {
    CHECK(broken_links(*next, progress.scrapped, late) == 0);
    for (const plan::Operation& o : next->schedule.operations) {
      if (o.because != "done") CHECK(o.start >= progress.now);
    }
  }
  CHECK(next->head.hash != plan.head.hash);
}

TEST_CASE("a lot that is finished has nothing left to plan", "[pipeline][errors]") {
  const Outcome outcome = demo("crystal-receiver");
  Progress progress;
  progress.now = outcome.plan.schedule.finish;
  for (const plan::Operation& o : outcome.plan.schedule.operations) {
    for (int unit = o.first_unit; unit <= o.last_unit; ++unit) progress.done.push_back({o.step, unit, o.start, o.end});
  }
  const auto next = replan(outcome.plan, progress, 1);
  REQUIRE_FALSE(next);
  CHECK(next.error().front().code == "replan-nothing-left");
}
