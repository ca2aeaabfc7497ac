// What the sheet says of a step's place and of what is easily forgotten.
#include <catch2/catch.hpp>

#include <algorithm>

#include "pipeline/make_plan.h"
#include "small_job.h"

using namespace handlot;
using namespace handlot::pipeline;

namespace {

plan::Plan planned(const std::string& device, const std::string& steps, int units = 2) {
  const auto request = small_job::request("why-here", units, "<device>" + device + "</device>" + steps, "<room temperature='22 degC' humidity='50 %RH'/>");
  const auto outcome = make_plan(request);
  REQUIRE(outcome);
  REQUIRE(outcome->ordered);
  return outcome->plan;
}

const plan::Step& step(const plan::Plan& plan, const std::string& id) {
  return *std::find_if(plan.work.steps.begin(), plan.work.steps.end(), [&](const plan::Step& s) { return s.id.text == id; });
}

const std::string kFoot = "<part id='box' card='t-walnut'/><part id='foot' card='t-brass-foot'/>";
const std::string kBond = "<joints><bond id='j' between='box foot' adhesive='epoxy-slow'/></joints>";
const std::string kOil = "<step id='oil' process='oil' title='Oil' on='box' run='5 min'><uses material='mineral-oil' amount='3 g'/></step>";
const std::string kMark = "<step id='mark' process='inspect' title='Look at the box' on='box' run='1 min'><check>Even</check></step>";
const std::string kGlue = "<step id='glue' process='glue' title='Glue' on='box' run='5 min' bonds='j'><installs part='foot'/></step>";

}  // namespace

TEST_CASE("a step that was moved with another is not said to stand as listed", "[pipeline]") {
  const plan::Plan plan = planned(kFoot, kBond + "<steps>" + kOil + kMark + kGlue + "</steps>");
  REQUIRE(step(plan, "glue").number < step(plan, "oil").number);
  REQUIRE(step(plan, "oil").number < step(plan, "mark").number);
  CHECK(step(plan, "oil").why_here.find("bare") + step(plan, "oil").why_here.find("cure") != 2 * std::string::npos);
  CHECK(step(plan, "mark").why_here.find("the order of the job file is kept") == std::string::npos);
  CHECK(step(plan, "glue").why_here.find("before 'oil': ") == 0);
}

TEST_CASE("a step that stands as listed says so", "[pipeline]") {
  const plan::Plan plan = planned(kFoot, "<steps>" + kOil + kMark + "</steps>");
  CHECK(step(plan, "oil").why_here == "nothing has to come before it");
  CHECK(step(plan, "mark").why_here == "nothing else decides: the order of the job file is kept");
}

TEST_CASE("a stated reason stands before the listing that implies it", "[pipeline]") {
  const std::string file = "<step id='file' process='fit' title='File' on='box' run='3 min'/>";
  const std::string look = "<step id='look' process='inspect' title='Look at the hook' on='box' run='3 min'><after step='file' because='a filed hook has a burr that must be seen'/><check>Smooth</check></step>";
  const plan::Plan plan = planned(kFoot, "<steps>" + file + kMark + look + "</steps>", 1);
  CHECK(step(plan, "look").why_here == "a filed hook has a burr that must be seen");
}

TEST_CASE("what comes in numbers is counted by kind, and a part of them is told from all", "[pipeline]") {
  const std::string device = "<part id='box' card='t-steel'/><part id='pin' card='t-steel' name='pins' count='4'/><part id='cup' card='t-steel' name='cups' count='2'/>";
  const plan::Plan plan = planned(device, "<steps><step id='first' process='fit' title='First' on='box' run='1 min'><installs part='pin' count='3'/><installs part='cup'/></step>"
                                          "<step id='last' process='fit' title='Last' on='box' run='1 min'><installs part='pin' count='1'/></step></steps>");
  CHECK(step(plan, "first").reminder == "3 of the 4 pins and 2 of 2 cups");
  CHECK(step(plan, "last").reminder.empty());
}
