#include <algorithm>
#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "calendar/zone.h"
#include "pipeline/make_plan.h"
#include "pipeline/replan.h"
#include "small_job.h"

using namespace handlot;
using namespace handlot::pipeline;

namespace {

// The lot begins on a Tuesday.
const char* const kDevice = "<device><part id='post' card='standoff-m3x10'/><part id='foot' card='felt-pad'/></device>";

Outcome made(const std::string& hours, const std::string& steps, int units = 2) {
  auto request = small_job::request("absences", units, std::string(kDevice) + "<steps>" + steps + "</steps>", hours + "<person id='helper'/>");
  auto outcome = make_plan(request);
  if (!outcome) FAIL(format(outcome.error().front()));
  REQUIRE_FALSE(outcome->plan.schedule.operations.empty());
  return std::move(*outcome);
}

/// "2026-12-08 08:30", when a step is begun for the first unit.
std::string begun(const plan::Plan& plan, const char* step, const plan::Schedule& schedule) {
  const auto op = std::find_if(schedule.operations.begin(), schedule.operations.end(), [&](const plan::Operation& o) { return o.step.text == step; });
  REQUIRE(op != schedule.operations.end());
  const auto local = calendar::Zone::find(plan.head.zone)->local(op->start);
  return fmt::format("{} {:02}:{:02}", calendar::iso(local.date), local.time.seconds / 3600, local.time.seconds / 60 % 60);
}

const char* const kSanded =
    "<step id='fit' process='fit' title='Fit' on='post' people='me' run='30 min'/>"
    "<step id='sand' process='fit' title='Sand' on='post' people='helper' run='20 min'><after step='fit' because='it is sanded in place'/></step>"
    "<step id='feet' process='fit' title='Feet' on='post' people='me' run='10 min'><installs part='foot'/><after step='sand' because='the felt bears no dust'/></step>";

}  // namespace

TEST_CASE("who comes on one day of the week works on that day", "[pipeline]") {
  const auto thursday = made("<hours days='thu' from='09:00' to='12:00' person='helper'/>", kSanded);
  CHECK(begun(thursday.plan, "fit", thursday.plan.schedule) == "2026-12-01 08:30");
  CHECK(begun(thursday.plan, "sand", thursday.plan.schedule) == "2026-12-03 09:00");
  const auto none = made("", kSanded);  // without hours of their own, those of the shop
  CHECK(begun(none.plan, "sand", none.plan.schedule) == "2026-12-01 09:00");
}

TEST_CASE("a day on which only the helper comes is a day of the shop, for the helper alone", "[pipeline]") {
  const auto saturday = made("<hours days='sat' from='09:00' to='12:00' person='helper'/>", kSanded);
  CHECK(begun(saturday.plan, "sand", saturday.plan.schedule) == "2026-12-05 09:00");
  CHECK(begun(saturday.plan, "feet", saturday.plan.schedule) == "2026-12-07 08:30");
}

TEST_CASE("work that a day of the helper does not hold goes on a week later", "[pipeline]") {
  const auto outcome = made("<hours days='thu' from='09:00' to='10:00' person='helper'/>", kSanded, 6);
  const auto& ops = outcome.plan.schedule.operations;
  const auto last = std::max_element(ops.begin(), ops.end(), [](const auto& a, const auto& b) { return (a.step.text == "sand" ? a.start : Instant(0)) < (b.step.text == "sand" ? b.start : Instant(0)); });
  CHECK(last->start - outcome.plan.work.start > hours(24 * 8));
}

TEST_CASE("the rest of a lot that is planned anew keeps the days of who comes on some", "[pipeline]") {
  const auto outcome = made("<hours days='thu' from='09:00' to='12:00' person='helper'/>", kSanded);
  Progress progress;
  progress.now = outcome.plan.work.start + hours(24 * 3);  // Friday, and nothing was done
  progress.hours = hours_from(outcome.job, outcome.plan.work, progress.now);
  progress.absences = absences_in(outcome.job, progress.hours);
  const auto next = replan(outcome.plan, progress, 2);
  REQUIRE(next);
  CHECK(begun(outcome.plan, "fit", next->schedule) == "2026-12-04 08:30");
  CHECK(begun(outcome.plan, "sand", next->schedule) == "2026-12-10 09:00");
}
