#include <algorithm>
#include <catch2/catch.hpp>

#include "pipeline/make_plan.h"
#include "small_job.h"

using namespace handlot;
using namespace handlot::pipeline;

TEST_CASE("while the oil of one unit soaks, the other units are oiled", "[pipeline]") {
  const auto waits_for = [](int units) {
    const auto outcome = make_plan(small_job::request("waits", units,
                                                      "<device><part id='box' card='t-walnut'/></device><steps>"
                                                      "<step id='oil' process='oil' title='Oil' on='box' run='5 min'><uses material='danish-oil' amount='8 g'/></step>"
                                                      "<step id='wipe' process='wipe-off' title='Wipe' on='box' run='2 min'/>"
                                                      "</steps>"));
    REQUIRE(outcome);
    return outcome->plan.waits;
  };
  const auto soaking = [](const plan::Wait& w) { return w.from.step.text == "oil" && w.to.step.text == "wipe"; };
  const auto of_three = waits_for(3), of_one = waits_for(1);
  const auto three = std::find_if(of_three.begin(), of_three.end(), soaking), one = std::find_if(of_one.begin(), of_one.end(), soaking);
  REQUIRE(three != of_three.end());
  REQUIRE(one != of_one.end());
  REQUIRE_FALSE(three->meanwhile.empty());
  CHECK(three->meanwhile.front().text == "oil");
  CHECK(one->meanwhile.empty());
}
