#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "pipeline/make_plan.h"

using namespace handlot;
using namespace handlot::pipeline;

namespace {

/// A plan of a small job with the cards of the tests; no schedule, no pictures.
plan::Plan plan_of(const std::string& device, const std::string& steps) {
  const auto folder = std::filesystem::temp_directory_path() / "handlot-weights-test";
  std::filesystem::create_directories(folder);
  const std::string file = (folder / "job.xml").string();
  std::ofstream(file) << "<job version='1' name='Small' revision='A'><lot units='2' start='2026-12-01 08:30'/><bench zone='Europe/Paris'>"
                         "<hours days='mon tue wed thu fri' from='08:30' to='17:00'/><person id='me'/></bench><device>"
                      << device << "</device><steps>" << steps << "</steps></job>";
  Request request;
  request.job_file = file;
  request.card_folders = {std::string(HANDLOT_TOP) + "/parts", std::string(HANDLOT_TOP) + "/tests/rules/cards"};
  request.want_schedule = request.want_pictures = false;
  auto outcome = make_plan(request);
  if (!outcome) FAIL(format(outcome.error().front()));
  return outcome->plan;
}

}  // namespace

TEST_CASE("what is built weighs what its parts do, after every step, about their common centre", "[pipeline][truth]") {
  // Cubes of 1 cm3 of steel: density x volume by hand. The middle of a cube at z = 0 lies at z = 5.
  const plan::Plan plan = plan_of(
      "<part id='a' card='s-cube-steel' at='0 0 0 mm'/><assembly id='pair' name='pair'><part id='b' card='s-cube-steel' at='20 0 0 mm'/><part id='c' card='s-cube-steel' at='20 0 10 mm'/></assembly>"
      "<part id='d' card='s-cube' at='40 0 0 mm'/>",
      "<step id='one' process='fit' title='One' on='b' run='1 min'><installs part='c'/></step>"
      "<step id='two' process='fit' title='Two' on='a' run='1 min'><installs part='pair'/><after step='one'/></step>"
      "<step id='three' process='fit' title='Three' on='a' run='1 min'><installs part='d'/><after step='two'/><check weighs='yes'>Weight</check></step>");
  REQUIRE(plan.work.steps.size() == 3);
  const plan::Step &one = plan.work.steps[0], &two = plan.work.steps[1], &three = plan.work.steps[2];
  REQUIRE(one.weight_after);
  REQUIRE(two.weight_after);
  const double cube = one.weight_after->value / 2;
  CHECK(cube == Approx(7.85).margin(0.11));  // carbon steel 7.75 to 8.05 g/cm3 [memory]
  CHECK(one.built->what == "pair");
  CHECK(one.built->centre_mm[0] == Approx(20).margin(1e-6));
  CHECK(one.built->centre_mm[2] == Approx(10).margin(1e-6));
  CHECK(two.weight_after->value == Approx(3 * cube));
  CHECK(two.built->what == "unit");
  CHECK(two.built->centre_mm[0] == Approx(40.0 / 3).margin(1e-6));
  CHECK(two.built->centre_mm[2] == Approx(25.0 / 3).margin(1e-6));
  CHECK(two.built->without_mass.empty());
  // The last cube has no material: it is named, and the weight stays.
  CHECK(three.weight_after->value == Approx(3 * cube));
  CHECK(three.built->without_mass == std::vector<PartId>{PartId("d")});
  REQUIRE(three.checks.size() == 1);
  CHECK(three.checks[0].value);
  CHECK(three.checks[0].unit == "g");
  CHECK(three.checks[0].what.find("without d") != std::string::npos);
}
