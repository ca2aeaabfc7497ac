#include <algorithm>
#include <catch2/catch.hpp>

#include "pipeline/make_plan.h"
#include "small_job.h"

using namespace handlot;
using namespace handlot::pipeline;

namespace {

/// What is noted of the sub-batches of one step; empty: nothing.
std::string noted(int units, const std::string& attributes) {
  const auto outcome = make_plan(small_job::request("sub-batches", units,
                                                    "<device><part id='post' card='standoff-m3x10'/><part id='foot' card='felt-pad'/></device><steps>"
                                                    "<step id='a' process='fit' title='Fit' on='post' setup='10 min' run='5 min' " + attributes + "><do>Fit it.</do><check>It sits</check></step></steps>"));
  if (!outcome) FAIL(format(outcome.error().front()));
  const auto& all = outcome->plan.findings;
  const auto found = std::find_if(all.begin(), all.end(), [](const plan::Finding& f) { return f.rule.text == "sub-batches"; });
  if (found == all.end()) return {};
  CHECK(found->severity == plan::Severity::note);
  return found->message;
}

}  // namespace

TEST_CASE("a lot that can't be cut into the stated sub-batches is noted, and a first piece that nobody stated", "[pipeline]") {
  CHECK(noted(13, "batch='4..6'").empty());
  CHECK(noted(7, "batch='4..6'") == "'a' goes as 4 and 3: the lot of 7 can't be cut into sub-batches of 4 to 6");
  CHECK(noted(8, "batch='3'") == "'a' goes as 3, 3 and 2: the lot of 8 can't be cut into sub-batches of 3");
  CHECK(noted(6, "batch='2'").empty());
  CHECK(noted(6, "batch='2' irreversible='yes'") == "'a', in sub-batches of 2, goes as 1, 1, 2 and 2: unit 1 is its first piece and goes alone");
  CHECK(noted(6, "batch='2' irreversible='yes' first-piece='no'").empty());
  CHECK(noted(7, "batch='2' first-piece='yes'").empty());
  CHECK(noted(5, "batch='1..3'").empty());
}
