#include <catch2/catch.hpp>

#include "pipeline/make_plan.h"
#include "small_job.h"

using namespace handlot;
using namespace handlot::pipeline;

TEST_CASE("a wish that stated waits leave no room for is given up and said, not a stop", "[pipeline]") {
  auto request = small_job::request("wishes", 1,
                                    "<device><part id='box' card='t-steel'/></device><steps>"
                                    "<step id='wipe' process='degrease' title='Degrease' on='box' run='1 min'><uses material='isopropanol' amount='1 g'/></step>"
                                    "<step id='coat' process='lacquer' title='Lacquer' on='box' run='1 min'><after step='wipe' at-least='2 d' because='the place is not free'/><uses material='lacquer-nitro' amount='1 g'/></step>"
                                    "</steps>");
  request.want_schedule = false;
  const auto outcome = make_plan(request);
  REQUIRE(outcome);
  CHECK(outcome->ordered);
  CHECK_FALSE(outcome->stops());
  int warned = 0;
  for (const plan::Finding& f : outcome->plan.findings) warned += f.rule.text == "stays-clean" && f.severity == plan::Severity::warn ? 1 : 0;
  CHECK(warned == 1);
}
