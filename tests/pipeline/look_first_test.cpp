#include <catch2/catch.hpp>
#include <optional>

#include "pipeline/make_plan.h"
#include "small_job.h"

using namespace handlot;
using namespace handlot::pipeline;

namespace {

/// Two boards printed together, melted `within` so many minutes, and looked at for half an hour.
plan::Plan two_boards(const std::string& within, const std::string& of_look = "") {
  const auto request = small_job::request("look-first", 2,
                                          "<device><part id='board' card='t-steel'/></device><steps>"
                                          "<step id='print' process='sort' title='Print' on='board' run='2 min' batch='2..2'/>"
                                          "<step id='reflow' process='reflow' title='Reflow' on='board' setup='3 min' unattended='8 min' hands='no' first-piece='yes'><after step='print' at-most='" +
                                              within + "' because='the paste dries'/></step>" + "<step id='look' process='inspect' title='Look' on='board' run='30 min' " + of_look +
                                              "><after step='reflow' because='there are joints'/></step></steps>");
  auto outcome = make_plan(request);
  if (!outcome) FAIL(format(outcome.error().front()));
  return std::move(outcome->plan);
}

bool others_wait(const plan::Plan& plan) {
  std::optional<Instant> looked, repeated;
  for (const plan::Operation& o : plan.schedule.operations) {
    if (o.step == StepId("look") && o.first_unit == 1) looked = o.end;
    if (o.step == StepId("reflow") && o.first_unit == 2) repeated = o.start;
  }
  REQUIRE(looked);
  REQUIRE(repeated);
  return *repeated >= *looked;
}

std::string noted(const plan::Plan& plan) {
  for (const plan::Finding& f : plan.findings) {
    if (f.rule.text == "first-piece" && f.severity == plan::Severity::note) return f.message;
  }
  return "";
}

}  // namespace

TEST_CASE("the joints of the first board are seen before the others go into the oven", "[pipeline]") {
  const plan::Plan plan = two_boards("2 h");
  REQUIRE(plan.work.looks.size() == 1);
  CHECK(others_wait(plan));
  CHECK(noted(plan).empty());
}

TEST_CASE("a look at the first board that paste leaves no time for is given up and said", "[pipeline]") {
  const plan::Plan plan = two_boards("20 min");
  CHECK(plan.work.looks.empty());
  CHECK_FALSE(others_wait(plan));
  CHECK(noted(plan).find("no schedule was found that keeps that with: ") != std::string::npos);
  CHECK(noted(plan).find("the paste dries") != std::string::npos);
}

TEST_CASE("a look of the whole lot holds nobody, and that is said", "[pipeline]") {
  const plan::Plan plan = two_boards("20 min", "whole-lot='yes'");
  CHECK(plan.work.looks.empty());
  CHECK(noted(plan).find("'look' is done for the whole lot at once") != std::string::npos);
}
