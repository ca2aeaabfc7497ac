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

TEST_CASE("of two floor lives the shorter names the wait, and each part keeps its own bake", "[pipeline]") {
  const auto waits_with = [](const std::string& parts) {
    const auto outcome = make_plan(small_job::request("floor-lives", 2,
                                                      "<device><part id='board' card='t-board'/>" + parts + "</device><steps>"
                                                      "<step id='place' process='place' title='Place' on='board' run='4 min'><installs part='slow'/><installs part='quick'/></step>"
                                                      "<step id='reflow' process='reflow' title='Reflow' on='board' unattended='8 min'/>"
                                                      "</steps>",
                                                      "<room temperature='22 degC' humidity='48 %RH'/>"));
    REQUIRE(outcome);
    return outcome->plan.waits;
  };
  const auto floor_life = [](const plan::Wait& w) { return w.from.step.text == "place" && w.to.step.text == "reflow"; };
  const std::string level_3 = "<part id='slow' card='qfn-32' name='module'><bag opened='no'/></part>", level_5a = "<part id='quick' card='t-level-5a' name='sensor'><bag opened='no'/></part>";
  for (const std::string& parts : {level_3 + level_5a, level_5a + level_3}) {
    const auto waits = waits_with(parts);
    const auto wait = std::find_if(waits.begin(), waits.end(), floor_life);
    REQUIRE(wait != waits.end());
    CHECK(wait->what == "floor life of 'sensor' (level 5a)");
    CHECK(wait->max == hours(24));
    CHECK(wait->if_late.find("do not heat it") == 0);
    CHECK(wait->if_late.find("; floor life of 'module' (level 3) ends after 7 d: do not heat it") != std::string::npos);
  }
}
