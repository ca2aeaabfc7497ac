// Each rule has a job it speaks of, the nearest twin it is silent on, and the boundary between them; the table of all three
// is docs/reference/rules.md. `HANDLOT_TABLE=1 tests_rules "[table]"` prints it; with HANDLOT_ACCEPT=1 it writes the page.
#include <catch2/catch.hpp>
#include <cstdlib>
#include <fmt/format.h>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <map>
#include <set>
#include <sstream>

#include "rules/case_file.h"
#include "rules/rules.h"
#include "support/small_job.h"

using namespace handlot;
using namespace handlot::test;

namespace {

std::string asked_of(const rules::Rule& rule) {
  switch (rule.ask.index()) {
    case 0: return "every step";
    case 1: return "every pair of steps";
    case 2: return "every part";
    case 3: return "every bond";
    case 4: return "the job";
    default: return "every step, once the order is known";
  }
}

std::string page() {
  std::string text =
      "# Rules\n\nWritten from the list of rules and from the small jobs in `tests/rules/cases`; `HANDLOT_TABLE=1 build/dev/tests_rules \"[table]\"` prints it. "
      "A finding that is not wanted is waived in the job file, by the rule's id, with a reason: "
      "`<waive rule=\"bond-gap\" steps=\"glue-feet\" because=\"...\"/>`. Links and choices of a rule are waived the same way. "
      "`handlot why JOB STEP` says what a rule did in a job.\n";
  std::map<std::string, std::vector<RuleCase>> by_rule;
  for (RuleCase& one : read_cases()) by_rule[one.rule].push_back(one);
  for (const rules::Rule& rule : rules::all_rules()) {
    text += fmt::format("\n## {}\n\n`{}`, asked of {}. {}\n\nSource: {}.\n", rule.title, rule.id.text, asked_of(rule), rule.says, rule.source);
    const auto& cases = by_rule[rule.id.text];
    if (!cases.empty()) text += "\n| | small job | what it says |\n| --- | --- | --- |\n";
    for (const RuleCase& one : cases) text += fmt::format("| {} | {} | {} |\n", one.kind, one.story, said(one));
  }
  return text;
}

}  // namespace

TEST_CASE("each small job gets from its rule what is written beside it", "[rules]") {
  for (const RuleCase& one : read_cases()) {
    INFO(one.file << ":" << one.line << " " << one.rule << " " << one.kind << ": " << one.story);
    CHECK(said(one) == one.expect);
  }
}

TEST_CASE("each rule has a job it speaks of, a silent twin and a boundary", "[rules]") {
  std::map<std::string, std::set<std::string>> kinds;
  for (const RuleCase& one : read_cases()) {
    kinds[one.rule].insert(one.kind);
    if (one.kind == "silent") CHECK(one.expect == "silent");
    if (one.kind == "speaks") CHECK(one.expect != "silent");
  }
  for (const rules::Rule& rule : rules::all_rules()) {
    INFO(rule.id.text);
    CHECK(kinds[rule.id.text] == std::set<std::string>{"boundary", "silent", "speaks"});
    CHECK_FALSE(rule.source.empty());
  }
}

TEST_CASE("the page of rules is up to date", "[rules][table]") {
  const std::string path = HANDLOT_TOP "/docs/reference/rules.md", wanted = page();
  if (std::getenv("HANDLOT_ACCEPT") != nullptr) std::ofstream(path) << wanted;
  std::ifstream file(path);
  std::stringstream kept;
  kept << file.rdbuf();
  if (std::getenv("HANDLOT_TABLE") != nullptr) std::cout << wanted;
  INFO("run HANDLOT_ACCEPT=1 tests_rules '[table]' and look at the difference");
  CHECK((kept.str() == wanted));
}

TEST_CASE("every part that a moving one hits is named, not only the first", "[rules]") {
  test::RuleCase one;
  one.device = "<part id='bed' card='s-bed' at='0 0 0 mm'/><part id='sledge' card='s-sledge' at='0 0 0 mm'><moves how='slide' axis='x' from='0 mm' to='20 mm'/></part>"
               "<part id='post' card='s-post' at='20 0 0 mm'/><part id='post-2' card='s-post' at='25 5 0 mm'/><part id='post-3' card='s-post' at='35 0 0 mm'/>";
  one.steps = "<step id='put' process='fit' title='Put' on='bed' run='1 min'><installs part='sledge'/></step>";
  const job::Job job = test::job_of(one);
  const auto device = bodies::make_device(job, test::test_cards(), {}, shapes::Cache());
  REQUIRE(device);
  rules::Yield yield;
  rules::keeps_clear({job, test::test_cards(), &*device, shapes::Cache()}, *job.part(PartId("sledge")), yield);
  REQUIRE(yield.findings.size() == 2);
  CHECK(yield.findings[0].parts == std::vector{PartId("sledge"), PartId("post")});
  CHECK(yield.findings[1].parts == std::vector{PartId("sledge"), PartId("post-2")});
}

TEST_CASE("vapour of units that the plan may do apart is told as an if", "[rules]") {
  RuleCase one;
  one.units = 12;
  one.room = "temperature='21 degC' humidity='48 %RH' volume='40 m3' air-changes='2 /h'";
  one.device = "<part id='a' card='t-steel'/>";
  const auto said_of = [&](const std::string& sizes) {
    one.steps = "<step id='wash' process='clean-flux' title='Wash' on='a' run='4 min' " + sizes + "><uses material='isopropanol' amount='5 g'/></step>";
    std::string text;
    for (const plan::Finding& f : ask_all(job_of(one), test_cards()).yield.findings) {
      if (f.rule.text == "room-air") text += f.message + "; " + f.mend;
    }
    return text;
  };
  CHECK(said_of("").find("if 12 units are done in a row, 60 g") != std::string::npos);
  CHECK(said_of("").find("leave time between the units") != std::string::npos);
  CHECK(said_of("batch='12'").find("in a row") == std::string::npos);  // the job says that they go together
  CHECK_FALSE(said_of("batch='12'").empty());
}

TEST_CASE("what is kept of one job is told at the lines and by the names of the job that asks", "[rules]") {
  test::RuleCase one;
  one.device = "<part id='bed' card='s-bed' at='0 0 0 mm'/><part id='sledge' card='s-sledge' at='0 0 0 mm'><moves how='slide' axis='x' from='0 mm' to='20 mm'/></part>"
               "<part id='post' card='s-post' at='20 0 0 mm'/>";
  one.steps = "<step id='put' process='fit' title='Put' on='bed' run='1 min'><installs part='sledge'/></step>";
  const auto folder = std::filesystem::temp_directory_path() / "handlot-kept-findings";
  std::filesystem::remove_all(folder);
  std::filesystem::create_directories(folder);
  const shapes::Cache cache(folder.string());
  const auto asked_by = [&](const std::string& file, const std::string& name) {
    job::Job job = test::job_of(one);
    for (job::Part& part : job.parts) part.place.file = file;
    for (job::Part& part : job.parts)
      if (part.id.text == "post") part.name = name;
    const auto device = bodies::make_device(job, test::test_cards(), {}, shapes::Cache());
    rules::Yield yield;
    rules::keeps_clear({job, test::test_cards(), &*device, cache}, *job.part(PartId("sledge")), yield);
    return yield.findings;
  };
  const auto first = asked_by("one.xml", ""), second = asked_by("two.xml", ""), named = asked_by("two.xml", "left post");
  std::filesystem::remove_all(folder);
  REQUIRE((first.size() == 1 && second.size() == 1 && named.size() == 1));
  CHECK(first[0].place.file == "one.xml");
  CHECK(second[0].place.file == "two.xml");
  CHECK(second[0].message == first[0].message);
  CHECK(named[0].message.find("left post") != std::string::npos);
}
