#include <algorithm>
#include <catch2/catch.hpp>

#include <nlohmann/json.hpp>

#include "sheets/compose.h"
#include "sheets/json.h"
#include "sheets/sample_plan.h"
#include "sheets/text.h"

using namespace handlot;

TEST_CASE("plan.json holds what the contract names, and reads back", "[sheets]") {
  const auto plan = test::sample_plan();
  const auto json = nlohmann::json::parse(sheets::to_json(plan));
  CHECK(json["job"]["name"] == "Fog bell");
  CHECK(json["job"]["revision"] == "C");
  CHECK(json["job"]["lot"] == 6);
  CHECK(json["job"]["hash"] == "3fa9c12b77de");
  CHECK(json["job"]["zone"] == "Europe/Paris");
  REQUIRE(json["findings"].size() == 3);
  for (const char* key :
       {"rule", "severity", "steps", "parts", "units", "message", "mend", "source", "place"}) {
    CHECK(json["findings"][0].contains(key));
  }
  CHECK(json["findings"][0]["place"]["file"] == "jobs/fog-bell/job.xml");
  CHECK(json["findings"][0]["place"]["line"] == 88);
  REQUIRE(json["constraints"].size() == 4);
  CHECK(json["constraints"][3]["from"] == "glue-feet.end");
  CHECK(json["constraints"][3]["to"] == "screw-lens.start");
  CHECK(json["constraints"][3]["min_s"] == 72 * 3600);
  CHECK(json["constraints"][3]["max_s"].is_null());
  CHECK(json["constraints"][1]["max_s"] == 4 * 3600);
  const auto& schedule = json["schedule"];
  CHECK(schedule["status"] == "feasible");
  CHECK(schedule["start"] == "2026-10-22T06:00:00Z");
  CHECK(schedule["makespan_s"] == plan.schedule.makespan.seconds);
  REQUIRE(schedule["operations"].size() == plan.schedule.operations.size());
  CHECK(schedule["operations"][0]["units"] == nlohmann::json::array({1, 2, 3, 4, 5, 6}));
  CHECK(json["cautions"].size() == plan.cautions.size());
  CHECK(json["kit"].size() == plan.kit.size());
  CHECK(json["steps"].size() == plan.work.steps.size());
}

TEST_CASE("an empty plan is still one JSON document", "[sheets]") {
  const auto json = nlohmann::json::parse(sheets::to_json(plan::Plan{}));
  CHECK(json["findings"].empty());
  CHECK(json["schedule"]["operations"].empty());
}

TEST_CASE("text that is no UTF-8 does not stop the writing", "[sheets][errors]") {
  auto plan = test::sample_plan();
  plan.head.name = "Fog \xff bell";
  CHECK(nlohmann::json::parse(sheets::to_json(plan))["job"]["name"] == "Fog \xef\xbf\xbd bell");
}

TEST_CASE("the same plan gives the same bytes of JSON", "[sheets]") {
  CHECK(sheets::to_json(test::sample_plan()) == sheets::to_json(test::sample_plan()));
}

TEST_CASE("a unit that an operation leaves out is named with none of its units", "[sheets]") {
  auto plan = test::sample_plan();
  auto& ops = plan.schedule.operations;
  const auto oil = std::find_if(ops.begin(), ops.end(), [](const auto& op) { return op.step.text == "oil"; });
  REQUIRE(oil != ops.end());
  plan::Operation one = *oil;
  one.first_unit = 1;
  one.last_unit = 6;
  one.without = {4};
  std::erase_if(ops, [](const auto& op) { return op.step.text == "oil"; });
  ops.push_back(one);
  const auto json = nlohmann::json::parse(sheets::to_json(plan));
  CHECK(json["schedule"]["operations"].back()["units"] == nlohmann::json::array({1, 2, 3, 5, 6}));
  CHECK(sheets::plan_as_text(plan, {}).find("Oil the cases with tung oil, units 1 to 3 and 5 to 6") != std::string::npos);
  CHECK(sheets::sheet_as_text(sheets::compose(plan, {}), {}).find("Units 1-3, 5-6") != std::string::npos);
  ops.back().without.clear();
  CHECK(sheets::plan_as_text(plan, {}).find("Oil the cases with tung oil, units 1 to 6") != std::string::npos);
}
