#include "schedule/prove.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>

#include "brute_force.h"
#include "samples.h"
#include "schedule/bounds.h"
#include "schedule/check.h"
#include "schedule/faults.h"
#include "schedule/sizes.h"
#include "schedule/solve.h"

using namespace handlot;
using namespace handlot::schedule;

namespace {

std::string told(const std::vector<plan::Finding>& findings) {
  std::string out;
  for (const plan::Finding& f : findings) out += f.rule.text + ": " + f.message + "\n";
  return out;
}

std::vector<std::vector<int>> all_sizes(const plan::Work& work) {
  std::vector<std::vector<int>> sizes;
  for (const SizeChoice& choice : size_choices(work)) sizes.push_back(choice.possible);
  return sizes;
}

int count_from_environment(const char* name, int otherwise) {
  const char* text = std::getenv(name);
  return text == nullptr ? otherwise : std::atoi(text);
}

struct Tally {
  int solved = 0, impossible = 0, refused = 0, gave_up = 0, late = 0, inexact = 0;
};

constexpr std::int64_t kLongest = 30;
constexpr std::int64_t kNodes = 3'000'000;

void check_right(std::uint64_t seed, const plan::Work& work, const plan::Schedule& made) {
  const auto findings = check(work, made);
  if (!findings.empty())
    FAIL(seed << "\n" << samples::describe(work) << samples::describe(work, made) << told(findings));
}

void compare(std::uint64_t seed, const plan::Work& work, Tally& tally) {
  if (!faults(work).empty()) {
    ++tally.refused;
    const auto found = samples::any_by(work, kLongest, 99, kNodes / 10);
    if (found.found) FAIL(seed << " is refused but can be done\n" << samples::describe(work));
    return;
  }
  const Proof proof = prove(work, all_sizes(work), nullptr, {}, 0, horizon_of(work), {}, seed);
  if (!proof.closed) {
    ++tally.inexact;
    if (proof.best) check_right(seed, work, in_words(work, proof.best->set, proof.best->placement));
    return;
  }
  const Duration bound = lower_bounds(work).front().makespan;
  if (!proof.best) {
    ++tally.impossible;
    const auto found = samples::any_by(work, kLongest, 99, kNodes);
    tally.gave_up += found.gave_up ? 1 : 0;
    if (found.found)
      FAIL(seed << " was called impossible\n"
                << samples::describe(work) << samples::describe(work, found.schedule));
    return;
  }
  ++tally.solved;
  const plan::Schedule made = in_words(work, proof.best->set, proof.best->placement);
  check_right(seed, work, made);
  if (bound > made.makespan)
    FAIL(seed << " has a bound of " << bound.seconds << "\n"
              << samples::describe(work) << samples::describe(work, made));
  if (made.makespan.seconds > kLongest) {
    ++tally.late;
    return;
  }
  for (const auto& [finish, setups] :
       {std::pair(made.makespan.seconds - 1, 99), std::pair(made.makespan.seconds, made.setups - 1)}) {
    const auto found = samples::any_by(work, finish, setups, kNodes);
    tally.gave_up += found.gave_up ? 1 : 0;
    if (found.found) {
      FAIL(seed << " can be done better\n"
                << samples::describe(work) << samples::describe(work, made)
                << samples::describe(work, found.schedule));
    }
  }
}

void compare(std::uint64_t seed, Tally& tally) { compare(seed, samples::small_work(seed, 7), tally); }

}  // namespace

namespace {

void compare_range(int from, int to) {
  Tally tally;
  for (int seed = from; seed <= to; ++seed) compare(static_cast<std::uint64_t>(seed), tally);
  WARN(tally.solved << " solved, " << tally.impossible << " impossible, " << tally.refused
                    << " refused at once, " << tally.late << " too long to try everything, " << tally.gave_up
                    << " trials given up, " << tally.inexact << " asked too strictly");
  CHECK(tally.solved >= (to - from + 1) / 2);
}

}  // namespace

TEST_CASE("the learnt optimum of small works is that of trying everything", "[schedule][twin]") {
  compare_range(1, 80);
}

TEST_CASE("the learnt optimum of small works with people who are away is that of trying everything", "[schedule][twin]") {
  const auto away = [](const plan::Work& work) { return std::any_of(work.resources.begin(), work.resources.end(), [](const plan::Resource& r) { return !r.away.empty(); }); };
  Tally tally;
  int tried = 0;
  for (std::uint64_t seed = 100; tried < 40; ++seed) {
    if (!away(samples::small_work(seed, 7))) continue;
    compare(seed, tally);
    ++tried;
  }
  CHECK(tally.solved >= 20);
  CHECK(tally.gave_up < 5);
}

TEST_CASE("the learnt optimum of small works whose oven is warm from before is that of trying everything", "[schedule][twin]") {
  Tally tally;
  int tried = 0, sooner = 0;
  for (std::uint64_t seed = 200; tried < 60; ++seed) {
    plan::Work work = samples::small_work(seed, 7);
    const auto oven = std::find_if(work.resources.begin(), work.resources.end(), [](const plan::Resource& r) { return r.warm_up.seconds > 0; });
    const bool used = std::any_of(work.steps.begin(), work.steps.end(), [](const plan::Step& s) { return !s.timing.uses.empty() && s.timing.uses.front().resource.text == "oven"; });
    if (oven == work.resources.end() || !used) continue;
    Limits limits;
    limits.reliefs = false;
    const plan::Schedule cold = schedule::solve(work, limits, seed);
    oven->used_until = work.start + Duration(static_cast<std::int64_t>(tried % 7) - 4);
    compare(seed, work, tally);
    const plan::Schedule warm = schedule::solve(work, limits, seed);
    check_right(seed, work, warm);
    if (!cold.operations.empty() && !warm.operations.empty() && warm.finish < cold.finish) ++sooner;
    ++tried;
  }
  CHECK(tally.solved >= 30);
  CHECK(sooner >= 5);
}

TEST_CASE("a unit that begins a run under no size holds nothing of its own", "[schedule][twin]") {
  compare_range(1942, 1942);
}

TEST_CASE("a step that lasts no longer than its change-over holds its station", "[schedule][twin]") {
  Tally tally;
  compare(3081, tally);
  CHECK(tally.inexact == 1);  // not said to be the best, but right
}

TEST_CASE("links that clash before anything is tried are no answer with times that nobody worked out", "[schedule][twin]") {
  Tally tally;
  compare(2631, tally);
  CHECK(tally.impossible == 1);
}

// HANDLOT_FIRST and HANDLOT_CASES in the environment set from which seed to which.
TEST_CASE("the same for many more works", "[schedule][twin][slow]") {
  compare_range(count_from_environment("HANDLOT_FIRST", 81), count_from_environment("HANDLOT_CASES", 700));
}
