#include <algorithm>
#include <catch2/catch.hpp>

#include "pipeline/make_plan.h"
#include "schedule/check.h"
#include "small_job.h"

using namespace handlot;
using namespace handlot::pipeline;

namespace {

/// Hands at the table while something that was laid there stands by itself.
bool worked_beside(const std::string& station) {
  const auto outcome = make_plan(small_job::request("laid-aside", 2,
                                                    "<device><part id='post' card='standoff-m3x10'/><part id='foot' card='felt-pad'/></device><steps>"
                                                    "<step id='rest' process='fit' title='Set it and leave it' on='post' run='20 min' unattended='20 h' station='table'/>"
                                                    "<step id='trim' process='fit' title='Trim' on='foot' run='30 min' station='table'/></steps>",
                                                    station));
  if (!outcome) FAIL(format(outcome.error().front()));
  const plan::Plan& plan = outcome->plan;
  REQUIRE_FALSE(plan.schedule.operations.empty());
  CHECK(schedule::check(plan.work, plan.schedule).empty());
  const auto& ops = plan.schedule.operations;
  return std::any_of(ops.begin(), ops.end(), [&](const plan::Operation& trim) {
    return trim.step.text == "trim" && std::any_of(ops.begin(), ops.end(), [&](const plan::Operation& rest) {
             return rest.step.text == "rest" && rest.hands_end <= trim.start && trim.hands_end <= rest.end;
           });
  });
}

}  // namespace

TEST_CASE("what lies on a table by itself bars nobody's hands from it", "[pipeline]") {
  CHECK(worked_beside("<station id='table' card='bench'/>"));
  CHECK_FALSE(worked_beside("<station id='table' card='bench' places='1'/>"));
}
