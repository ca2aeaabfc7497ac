#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "pipeline/make_plan.h"

using namespace handlot;
using namespace handlot::pipeline;

TEST_CASE("while the oil of one unit soaks, the other units are oiled", "[pipeline]") {
  const auto folder = std::filesystem::temp_directory_path() / "handlot-waits-test";
  std::filesystem::create_directories(folder);
  const auto waits_for = [&](const std::string& units) {
    const std::string file = (folder / "job.xml").string();
    std::ofstream(file) << "<job version='1' name='Small' revision='A'><lot units='" + units + "' start='2026-12-01 08:30'/><bench zone='Europe/Paris'>"
                           "<hours days='mon tue wed thu fri' from='08:30' to='17:00'/><person id='me'/></bench><device><part id='box' card='t-walnut'/></device><steps>"
                           "<step id='oil' process='oil' title='Oil' on='box' run='5 min'><uses material='danish-oil' amount='8 g'/></step>"
                           "<step id='wipe' process='wipe-off' title='Wipe' on='box' run='2 min'/>"
                           "</steps></job>";
    Request request;
    request.job_file = file;
    request.card_folders = {std::string(HANDLOT_TOP) + "/parts", std::string(HANDLOT_TOP) + "/tests/rules/cards"};
    request.want_pictures = false;
    const auto outcome = make_plan(request);
    REQUIRE(outcome);
    return outcome->plan.waits;
  };
  const auto soaking = [](const plan::Wait& w) { return w.from.step.text == "oil" && w.to.step.text == "wipe"; };
  const auto of_three = waits_for("3"), of_one = waits_for("1");
  const auto three = std::find_if(of_three.begin(), of_three.end(), soaking), one = std::find_if(of_one.begin(), of_one.end(), soaking);
  REQUIRE(three != of_three.end());
  REQUIRE(one != of_one.end());
  REQUIRE_FALSE(three->meanwhile.empty());
  CHECK(three->meanwhile.front().text == "oil");
  CHECK(one->meanwhile.empty());
}
