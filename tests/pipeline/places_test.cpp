// How many units a station holds: where they lie there, and where hands take one after the other.
#include <catch2/catch.hpp>

#include <algorithm>

#include "pipeline/make_plan.h"
#include "plan/find.h"
#include "schedule/check.h"
#include "small_job.h"

using namespace handlot;
using namespace handlot::pipeline;

namespace {

plan::Plan planned(const std::string& station, const std::string& steps, int units = 4) {
  const auto request = small_job::request("places", units, "<device><part id='box' card='t-steel'/></device><steps>" + steps + "</steps>", station);
  const auto outcome = make_plan(request);
  REQUIRE(outcome);
  REQUIRE(outcome->ordered);
  CHECK(schedule::check(outcome->plan.work, outcome->plan.schedule).empty());
  return outcome->plan;
}

/// Sizes of the step's sub-batches, smallest first.
std::vector<int> runs(const plan::Plan& plan, const std::string& step) {
  std::vector<int> sizes;
  for (const plan::Operation& op : plan.schedule.operations) {
    if (op.step.text == step) sizes.push_back(op.last_unit - op.first_unit + 1);
  }
  std::sort(sizes.begin(), sizes.end());
  return sizes;
}

bool says(const plan::Plan& plan, const std::string& rule) {
  return std::any_of(plan.findings.begin(), plan.findings.end(), [&](const plan::Finding& f) { return f.rule.text == rule; });
}

std::string station(const std::string& card, const std::string& words) { return "<station id='place' card='" + card + "'" + words + "/>"; }

const std::string kPrint = "<step id='make' process='print-frame' title='Print' on='box' station='place' setup='5 min' unattended='5 h'/>";
const std::string kHands = "<step id='make' process='fit' title='File' on='box' station='place' setup='5 min' run='3 min'/>";

}  // namespace

TEST_CASE("a printer of one place prints one unit at a time, said or not", "[pipeline]") {
  CHECK(runs(planned(station("print-farm", " places='1'"), kPrint), "make") == std::vector<int>{1, 1, 1, 1});
  const plan::Plan unsaid = planned(station("print-farm", ""), kPrint);
  CHECK(runs(unsaid, "make") == std::vector<int>{1, 1, 1, 1});
  CHECK(says(unsaid, "station-places"));
}

TEST_CASE("more places never make a lot longer", "[pipeline]") {
  Duration before = hours(24 * 365);
  for (const char* places : {"1", "2", "3", "4"}) {
    const plan::Plan plan = planned(station("print-farm", std::string(" places='") + places + "'"), kPrint);
    CHECK_FALSE(says(plan, "station-places"));
    CHECK(plan.schedule.makespan <= before);
    before = plan.schedule.makespan;
  }
  CHECK(before < hours(6));
}

TEST_CASE("a batch that is said goes into a place that nobody counted", "[pipeline]") {
  const std::string bath = "<step id='make' process='wash' title='Wash' on='box' station='place' batch='1..4' run='1 min' unattended='30 min'/>";
  const plan::Plan plan = planned(station("calibration-bath", ""), bath);
  CHECK(runs(plan, "make") == std::vector<int>{4});
  CHECK_FALSE(says(plan, "station-places"));
}

TEST_CASE("as many lie on a shelf as are laid there, unless its places are counted", "[pipeline]") {
  const std::string dry = "<step id='make' process='dry' title='Dry' on='box' station='place' setup='1 min' unattended='5 h'/>";
  const plan::Plan free = planned(station("cure-shelf", ""), dry);
  CHECK(runs(free, "make") == std::vector<int>{4});
  CHECK_FALSE(says(free, "station-places"));
  CHECK(runs(planned(station("cure-shelf", " places='1'"), dry), "make") == std::vector<int>{1, 1, 1, 1});
}

TEST_CASE("hands at a bench take one unit after the other, however many places it has", "[pipeline]") {
  for (const char* places : {"", " places='1'", " places='2'"}) CHECK(runs(planned(station("bench", places), kHands), "make") == std::vector<int>{4});
}

TEST_CASE("counting parts at a bench lays no unit down", "[pipeline]") {
  const std::string in = "<step id='in' process='receive' title='Count the parts' whole-lot='yes' station='place' setup='20 min'/>";
  CHECK(runs(planned(station("bench", " places='2'"), in + kHands), "in") == std::vector<int>{4});
}
