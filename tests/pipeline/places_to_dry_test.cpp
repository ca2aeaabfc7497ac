#include <algorithm>
#include <catch2/catch.hpp>

#include "pipeline/make_plan.h"
#include "schedule/check.h"
#include "small_job.h"

using namespace handlot;
using namespace handlot::pipeline;

namespace {

/// How long the unit that waits longest lies wet before it begins to dry.
Duration longest_wet(const std::string& rack, const std::string& wash = "") {
  const auto outcome = make_plan(small_job::request("places-to-dry", 4,
                                                    "<device><part id='post' card='standoff-m3x10'/></device><steps>"
                                                    "<step id='wash' process='wash' title='Wash' on='post' run='5 min' " + wash + "><do>Wash it.</do></step>"
                                                    "<step id='dry' process='dry' title='Dry' on='post' hands='no' unattended='6 h' station='rack'/></steps>",
                                                    "<station id='rack' card='finish-rack' " + rack + "/>"));
  if (!outcome) FAIL(format(outcome.error().front()));
  const plan::Plan& plan = outcome->plan;
  REQUIRE_FALSE(plan.schedule.operations.empty());
  CHECK(schedule::check(plan.work, plan.schedule).empty());
  Duration longest{0};
  for (const plan::Operation& wet : plan.schedule.operations) {
    for (const plan::Operation& dry : plan.schedule.operations) {
      const bool same = wet.step.text == "wash" && dry.step.text == "dry" && wet.first_unit <= dry.last_unit && dry.first_unit <= wet.last_unit;
      if (same) longest = std::max(longest, dry.start - wet.end);
    }
  }
  return longest;
}

}  // namespace

TEST_CASE("nothing lies wet while the place where it dries is taken", "[pipeline]") {
  CHECK(longest_wet("places='1'") <= minutes(30));
  CHECK(longest_wet("places='3'") <= minutes(30));
  CHECK(longest_wet("places='2'", "batch='4'") > hours(1));  // four are wet at once whatever is done
}
