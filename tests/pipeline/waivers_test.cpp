// A waiver for a part takes out what is about that part, and nothing else.
#include <catch2/catch.hpp>

#include "pipeline/ask_rules.h"

using namespace handlot;

namespace {

plan::Constraint link(const char* from, const char* to, const std::string& text) {
  plan::Constraint c;
  c.from.step = StepId(from);
  c.to.step = StepId(to);
  c.reason.rule = RuleId("goes-in");
  c.reason.text = text;
  return c;
}

}  // namespace

TEST_CASE("a waiver for one part leaves what is said of others", "[pipeline]") {
  job::Job job;
  for (const char* id : {"band", "ring", "cap"}) {
    job::Part part;
    part.id = PartId(id);
    job.parts.push_back(part);
  }
  job::Waive waive;
  waive.rule = RuleId("goes-in");
  waive.parts = {PartId("band")};
  waive.because = "it stretches over the ring";
  job.waivers = {waive};
  rules::Yield yield;
  yield.links = {link("a", "b", "'ring' goes in from above, and 'cap' would be in its way"), link("b", "c", "'band' goes in from above, and 'cap' would be in its way")};
  const plan::Constraint way = link("a", "b", "'ring' goes in from the right, and 'band' would be in its way");
  yield.choices = {{RuleId("goes-in"), {{way}, {way}}, "which way 'ring' goes in", {}}, {RuleId("goes-in"), {{way}, {way}}, "which way 'band' goes in", {}}};
  pipeline::Waivers waivers(job);
  waivers.links(yield);
  REQUIRE(yield.links.size() == 1);
  CHECK(yield.links.front().from.step.text == "a");
  REQUIRE(yield.choices.size() == 1);
  CHECK(yield.choices.front().text == "which way 'ring' goes in");
}
