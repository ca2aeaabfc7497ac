// The demos with their shapes: what the rules that look at them find.
#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "bodies/device.h"
#include "rules/rule.h"

using namespace handlot;

namespace {

/// What all rules without an order find, waived or not.
std::vector<plan::Finding> found_in(const rules::Facts& facts) {
  rules::Yield yield;
  for (const rules::Rule& rule : rules::all_rules()) {
    if (const auto* f = std::get_if<rules::PerStep>(&rule.ask))
      for (const auto& s : facts.job.steps) (*f)(facts, s, yield);
    if (const auto* f = std::get_if<rules::PerPart>(&rule.ask))
      for (const auto& p : facts.job.parts) (*f)(facts, p, yield);
    if (const auto* f = std::get_if<rules::PerJoint>(&rule.ask))
      for (const auto& j : facts.job.joints) (*f)(facts, j, yield);
    if (const auto* f = std::get_if<rules::PerJob>(&rule.ask)) (*f)(facts, yield);
  }
  return yield.findings;
}

}  // namespace

TEST_CASE("the demos' shapes neither stop nor warn", "[rules][demos]") {
  for (const char* name : {"tide-dial", "soil-probe", "crystal-receiver"}) {
    const std::string folder = fmt::format("{}/jobs/{}", HANDLOT_TOP, name);
    const auto cards = catalogue::Catalogue::read(std::vector<std::string>{std::string(HANDLOT_TOP) + "/parts", folder + "/parts"});
    REQUIRE(cards);
    const auto job = job::read_job(folder + "/job.xml", *cards);
    REQUIRE(job);
    const auto device = bodies::make_device(*job, *cards, {}, shapes::Cache());
    REQUIRE(device);
    CHECK(device->left_out.empty());
    CHECK(device->part_of.size() > 10);
    for (const plan::Finding& f : found_in({*job, *cards, &*device, shapes::Cache()})) {
      if (f.severity == plan::Severity::note) continue;
      INFO(name << ": " << f.rule.text << ": " << f.message);
      CHECK(f.waived_because);
    }
  }
}
