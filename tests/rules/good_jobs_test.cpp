// Ordinary good builds: the demos in jobs/ and the small ones in tests/good/. Nothing in them deserves a stop, and no warning
// that somebody who does this work would wave away.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fmt/format.h>
#include <set>

#include "core/text.h"
#include "rules/case_file.h"

using namespace handlot;
using namespace handlot::test;
namespace fs = std::filesystem;

namespace {

struct Loaded {
  std::string name;
  catalogue::Catalogue cards;
  job::Job job;
};

Loaded load(const fs::path& file) {
  std::vector<std::string> folders{HANDLOT_TOP "/parts"};
  if (fs::is_directory(file.parent_path() / "parts")) folders.push_back((file.parent_path() / "parts").string());
  auto cards = catalogue::Catalogue::read(folders);
  if (!cards) {
    for (const Diagnostic& d : cards.error()) UNSCOPED_INFO(format(d));
    FAIL("the cards of " << file << " do not read");
  }
  auto job = job::read_job(file.string(), *cards);
  if (!job) {
    for (const Diagnostic& d : job.error()) UNSCOPED_INFO(format(d));
    FAIL(file << " does not read");
  }
  return {file.string(), std::move(*cards), std::move(*job)};
}

std::vector<fs::path> files_in(const fs::path& folder) {
  std::vector<fs::path> found;
  if (!fs::is_directory(folder)) return found;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    const bool a_job = entry.path().filename() == "job.xml" || folder.filename() == "good";
    if (entry.is_regular_file() && entry.path().extension() == ".xml" && a_job && entry.path().parent_path().filename() != "parts") found.push_back(entry.path());
  }
  std::sort(found.begin(), found.end());
  return found;
}

bool waived(const job::Job& job, const plan::Finding& f) {
  return std::any_of(job.waivers.begin(), job.waivers.end(), [&](const job::Waive& w) {
    const bool step = w.steps.empty() || std::any_of(f.steps.begin(), f.steps.end(), [&](const StepId& s) { return std::find(w.steps.begin(), w.steps.end(), s) != w.steps.end(); });
    return w.rule == f.rule && step;
  });
}

std::vector<std::string> complaints(const Loaded& one) {
  const Asked asked = ask_all(one.job, one.cards);
  std::vector<std::string> all;
  if (asked.sequence.empty()) all.push_back("no order:" + asked.contradiction);
  for (const plan::Finding& f : asked.yield.findings) {
    if (f.severity == plan::Severity::note || waived(one.job, f)) continue;
    all.push_back(fmt::format("{} {} {}: {}", word(f.severity), f.rule.text, f.steps.empty() ? "" : f.steps.front().text, f.message));
  }
  std::sort(all.begin(), all.end());
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

}  // namespace

TEST_CASE("ordinary good builds are left in peace", "[rules][good]") {
  std::size_t small = 0;
  for (const fs::path& folder : {fs::path(HANDLOT_TOP "/jobs"), fs::path(HANDLOT_TOP "/tests/good")}) {
    for (const fs::path& file : files_in(folder)) {
      const Loaded one = load(file);
      INFO(one.name);
      for (const std::string& complaint : complaints(one)) FAIL_CHECK(complaint);
      if (folder.filename() == "good") ++small;
    }
  }
  CHECK(small >= 20);
}

TEST_CASE("the cautions of a good build stand once each, and every sentence is whole", "[rules][good]") {
  for (const fs::path& folder : {fs::path(HANDLOT_TOP "/jobs"), fs::path(HANDLOT_TOP "/tests/good")}) {
    for (const fs::path& file : files_in(folder)) {
      const Loaded one = load(file);
      const Asked asked = ask_all(one.job, one.cards);
      std::set<std::string> ids, hazards;
      for (const plan::Caution& c : asked.yield.cautions) {
        INFO(one.name << " " << c.id);
        CHECK(ids.insert(c.id).second);
        CHECK(hazards.insert(c.hazard).second);
        CHECK_FALSE(c.avoid.empty());
        CHECK((c.at == plan::CautionAt::head) == c.steps.empty());
      }
      CHECK(ids.size() <= 14);  // the block stays on one page
    }
  }
}

TEST_CASE("the cautions of the demos are printed to be read: HANDLOT_READ=1 tests_rules [read]", "[rules][read]") {
  if (std::getenv("HANDLOT_READ") == nullptr) return;
  for (const fs::path& file : files_in(HANDLOT_TOP "/jobs")) {
    const Loaded one = load(file);
    fmt::print("\n== {}\n", one.job.name);
    for (const plan::Caution& c : ask_all(one.job, one.cards).yield.cautions) {
      const char* at = c.at == plan::CautionAt::head ? "head" : c.at == plan::CautionAt::section ? "section" : "step";
      std::vector<std::string> steps;
      for (const StepId& s : c.steps) steps.push_back(s.text);
      fmt::print("{} [{}] {}\n  {} {} {}\n  {} {} | {} | {} | {}\n", word(c.level), at, c.id, c.hazard, c.consequence, c.avoid, fmt::join(c.ghs, " "), fmt::join(c.h_codes, " "),
                 fmt::join(c.signs, " "), fmt::join(c.protect, ", "), fmt::join(steps, " "));
    }
  }
}

TEST_CASE("the notes on the demos are printed to be read: HANDLOT_READ=1 tests_rules [read]", "[rules][read]") {
  if (std::getenv("HANDLOT_READ") == nullptr) return;
  for (const fs::path& file : files_in(HANDLOT_TOP "/jobs")) {
    const Loaded one = load(file);
    fmt::print("\n== {}\n", one.job.name);
    for (const plan::Finding& f : ask_all(one.job, one.cards).yield.findings)
      fmt::print("{} {} {}: {} -> {}\n", word(f.severity), f.rule.text, f.steps.empty() ? "" : f.steps.front().text, f.message, f.mend);
  }
}
