#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "pipeline/make_plan.h"

using namespace handlot;
using namespace handlot::pipeline;

TEST_CASE("a wish that stated waits leave no room for is given up and said, not a stop", "[pipeline]") {
  const auto folder = std::filesystem::temp_directory_path() / "handlot-wishes-test";
  std::filesystem::create_directories(folder);
  const std::string file = (folder / "job.xml").string();
  std::ofstream(file) << "<job version='1' name='Small' revision='A'><lot units='1' start='2026-12-01 08:30'/><bench zone='Europe/Paris'>"
                         "<hours days='mon tue wed thu fri' from='08:30' to='17:00'/><person id='me'/></bench><device><part id='box' card='t-steel'/></device><steps>"
                         "<step id='wipe' process='degrease' title='Degrease' on='box' run='1 min'><uses material='isopropanol' amount='1 g'/></step>"
                         "<step id='coat' process='lacquer' title='Lacquer' on='box' run='1 min'><after step='wipe' at-least='2 d' because='the place is not free'/><uses material='lacquer-nitro' amount='1 g'/></step>"
                         "</steps></job>";
  Request request;
  request.job_file = file;
  request.card_folders = {std::string(HANDLOT_TOP) + "/parts", std::string(HANDLOT_TOP) + "/tests/rules/cards"};
  request.want_schedule = request.want_pictures = false;
  const auto outcome = make_plan(request);
  REQUIRE(outcome);
  CHECK(outcome->ordered);
  CHECK_FALSE(outcome->stops());
  int warned = 0;
  for (const plan::Finding& f : outcome->plan.findings) warned += f.rule.text == "stays-clean" && f.severity == plan::Severity::warn ? 1 : 0;
  CHECK(warned == 1);
}
