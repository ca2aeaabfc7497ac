#include <catch2/catch.hpp>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>

#include "pipeline/make_plan.h"
#include "rules/rule.h"
#include "support/folder.h"

using namespace handlot;
namespace fs = std::filesystem;

namespace {

const std::vector<std::string> kJobs{"tide-dial", "soil-probe", "crystal-receiver"};

std::string job_file(const std::string& name) { return HANDLOT_TOP "/jobs/" + name + "/job.xml"; }

/// The plan without times: one run a job, shared by the tests.
const pipeline::Outcome& planned(const std::string& name) {
  static std::map<std::string, pipeline::Outcome> outcomes;
  const auto found = outcomes.find(name);
  if (found != outcomes.end()) return found->second;
  pipeline::Request request;
  request.job_file = job_file(name);
  request.card_folders = pipeline::card_folders(request.job_file, {});
  request.want_schedule = false;
  auto outcome = pipeline::make_plan(request);
  if (!outcome) {
    for (const Diagnostic& d : outcome.error()) UNSCOPED_INFO(format(d));
    FAIL(name << " does not read");
  }
  return outcomes.emplace(name, std::move(*outcome)).first->second;
}

std::string text_of(const plan::Finding& f) { return f.rule.text + ": " + f.message; }

}  // namespace

TEST_CASE("every shipped job holds against the XSD", "[jobs]") {
  if (std::system("xmllint --version 2>/dev/null") != 0) {
    WARN("skipped: xmllint is not installed");
    return;
  }
  for (const std::string& name : kJobs) {
    INFO(name);
    CHECK(std::system(("xmllint --noout --schema '" HANDLOT_TOP "/docs/reference/job.xsd' '" + job_file(name) + "' 2>/dev/null").c_str()) == 0);
  }
}

TEST_CASE("the demo jobs are as large as asked", "[jobs]") {
  const std::map<std::string, std::size_t> steps{{"tide-dial", 30}, {"soil-probe", 24}, {"crystal-receiver", 20}};
  const std::map<std::string, int> units{{"tide-dial", 6}, {"soil-probe", 12}, {"crystal-receiver", 4}};
  for (const std::string& name : kJobs) {
    INFO(name);
    CHECK(planned(name).job.steps.size() >= steps.at(name));
    CHECK(planned(name).job.units == units.at(name));
  }
  CHECK(planned("tide-dial").job.assemblies.size() >= 3);
}

TEST_CASE("the demo jobs have an order, no finding that stops or warns, and nothing left open", "[jobs]") {
  for (const std::string& name : kJobs) {
    INFO(name);
    const pipeline::Outcome& outcome = planned(name);
    CHECK(outcome.ordered);
    CHECK(outcome.warnings.empty());
    for (const plan::Finding& f : outcome.plan.findings) {
      if (f.waived_because) continue;
      INFO(text_of(f));
      CHECK(f.severity == plan::Severity::note);
    }
  }
}

TEST_CASE("the demo jobs have an order without any stated one", "[jobs]") {
  for (const std::string& name : kJobs) {
    INFO(name);
    const Folder own;
    const fs::path folder = own.path / name;
    fs::copy(fs::path(job_file(name)).parent_path(), folder, fs::copy_options::recursive);
    std::ifstream in(job_file(name));
    const std::string text{std::istreambuf_iterator<char>(in), {}};
    std::ofstream(folder / "job.xml") << std::regex_replace(text, std::regex("<after [^>]*/>"), "");
    pipeline::Request request;
    request.job_file = (folder / "job.xml").string();
    request.card_folders = pipeline::card_folders(request.job_file, {});
    request.want_schedule = false;
    const auto outcome = pipeline::make_plan(request);
    REQUIRE(outcome);
    CHECK(outcome->ordered);
    for (const plan::Finding& f : outcome->plan.findings) {
      INFO(text_of(f));
      CHECK(f.severity != plan::Severity::stop);
    }
  }
}

TEST_CASE("every part of a demo comes in by a step, or the steps work on it", "[jobs]") {
  for (const std::string& name : kJobs) {
    const job::Job& job = planned(name).job;
    for (const job::Part& part : job.parts) {
      INFO(name << " " << part.id.text);
      const bool installed = std::any_of(job.steps.begin(), job.steps.end(), [&](const job::Step& s) {
        return std::any_of(s.installs.begin(), s.installs.end(), [&](const job::Installs& i) { return i.part == part.id; });
      });
      const bool worked = std::any_of(job.steps.begin(), job.steps.end(), [&](const job::Step& s) { return s.on == part.id; });
      CHECK((installed || worked));
    }
    for (const job::Assembly& assembly : job.assemblies) {
      INFO(name << " " << assembly.id.text);
      CHECK(job.installer(assembly.id) != nullptr);
    }
  }
}

TEST_CASE("the steps of a demo read as instructions", "[jobs]") {
  for (const std::string& name : kJobs) {
    for (const job::Step& step : planned(name).job.steps) {
      INFO(name << " " << step.id.text);
      CHECK_FALSE(step.actions.empty());
      CHECK(step.actions.size() <= 7);  // 5 to 7 important points a breakdown, after the TWI workbook (job.md 3.3, E94)
      for (const std::string& action : step.actions) {
        INFO(action);
        CHECK(std::isupper(static_cast<unsigned char>(action.front())) != 0);
        CHECK(action.ends_with("."));
        CHECK(action.size() <= 100);
      }
      for (const job::CheckLine& check : step.checks) CHECK_FALSE(check.what.empty());
    }
  }
}

TEST_CASE("every rule that orders speaks in some demo", "[jobs]") {
  // Rules that only find faults are silent in a good job; tests/rules/cases has a job for each of them.
  const std::set<std::string> ordering{"stated-order", "assembly-whole", "process-result", "screws-last", "states", "heat-limit", "cure", "clamped",
                                       "tested-before-hidden", "paste-clock", "goes-in", "tool-reach", "listing"};
  std::set<std::string> heard;
  for (const std::string& name : kJobs) {
    const plan::Plan& plan = planned(name).plan;
    for (const plan::Constraint& link : plan.work.constraints) heard.insert(link.reason.rule.text);
    for (const plan::Finding& finding : plan.findings) heard.insert(finding.rule.text);
    for (const plan::Step& step : plan.work.steps) {
      for (const plan::Use& use : step.timing.uses) {
        if (use.hold_after_end.seconds > 0 || use.until_start_of) heard.insert("clamped");
      }
    }
  }
  for (const std::string& rule : ordering) {
    INFO(rule);
    CHECK(heard.contains(rule));
  }
  bool moves = false, comes_out = false;
  for (const std::string& name : kJobs) {
    for (const job::Part& part : planned(name).job.parts) {
      moves = moves || !part.motion.empty();
      comes_out = comes_out || part.serviceable;
    }
  }
  CHECK(moves);
  CHECK(comes_out);
}

TEST_CASE("every stated order of a demo says why, and every short latest end what to do when it has passed", "[jobs]") {
  for (const std::string& name : kJobs) {
    for (const job::Step& step : planned(name).job.steps) {
      for (const job::After& after : step.after) {
        INFO(name << " " << step.id.text << " after " << after.step.text);
        CHECK(after.because.size() > 10);
        if (after.at_most && *after.at_most <= minutes(20)) CHECK_FALSE(after.if_late.empty());
      }
    }
  }
}

TEST_CASE("orders that nobody wrote down: one from heat alone, one from a state alone, two from cure alone", "[jobs]") {
  struct Pair {
    std::string job, earlier, later, rule;
  };
  for (const Pair& pair : {Pair{"tide-dial", "relieve-frames", "fit-stepper", "heat-limit"}, Pair{"tide-dial", "load-program", "fit-board", "states"},
                           Pair{"tide-dial", "glue-lamps", "crimp-lamps", "cure"}, Pair{"soil-probe", "fit-blade", "pot", "cure"}}) {
    INFO(pair.earlier << " " << pair.later);
    std::set<std::string> rules;
    for (const plan::Constraint& link : planned(pair.job).plan.work.constraints) {
      if (link.from.step.text == pair.earlier && link.to.step.text == pair.later) rules.insert(link.reason.rule.text);
    }
    CHECK(rules == std::set<std::string>{pair.rule});
  }
}

namespace {

std::string read_all(const fs::path& path) {
  std::ifstream in(path);
  return {std::istreambuf_iterator<char>(in), {}};
}

std::set<std::string> found_in(const std::string& text, const std::regex& what) {
  std::set<std::string> found;
  for (std::sregex_iterator it(text.begin(), text.end(), what), end; it != end; ++it) found.insert((*it)[1]);
  return found;
}

}  // namespace

TEST_CASE("the XSD of jobs names the attributes and elements that the reader asks for, and no others", "[jobs]") {
  const std::string reader = read_all(HANDLOT_TOP "/src/job/read.cpp") + read_all(HANDLOT_TOP "/src/job/read_gaps.cpp"), xsd = read_all(HANDLOT_TOP "/docs/reference/job.xsd");
  REQUIRE_FALSE(reader.empty());
  std::set<std::string> asked = found_in(reader, std::regex(R"re(\.(?:text|text_or|words|id|yes|count|plain|word_of|amount<\w+>|amount_or<\w+>|must<\w+>|canonical)\("([a-z-]+)")re"));
  asked.merge(found_in(reader, std::regex(R"re((?:read_three|direction)\((?:take|w), "([a-z]+)")re")));
  // "measured-" stands before each of the four states of cure.
  for (const char* state : {"fixture", "handling", "working", "full"}) asked.insert(std::string("measured-") + state);
  CHECK(asked == found_in(xsd, std::regex(R"re(<xs:attribute name="([a-z-]+)")re")));
  std::set<std::string> elements = found_in(reader, std::regex(R"re(child(?:ren)?\("([a-z-]+)")re"));
  elements.merge(std::set<std::string>{"job", "job-part"});
  CHECK(elements == found_in(xsd, std::regex(R"re(<xs:element name="([a-z-]+)")re")));
}
