#include <catch2/catch.hpp>

#include <algorithm>
#include <ctime>

#include "core/text.h"
#include "samples.h"
#include "schedule/check.h"
#include "schedule/solve.h"
#include "schedule/tasks.h"

using namespace handlot;
using namespace handlot::schedule;

namespace {

std::string told(const std::vector<plan::Finding>& findings) {
  std::string out;
  for (const plan::Finding& f : findings) out += f.rule.text + ": " + f.message + "\n";
  return out;
}

std::string runs_in_words(int units, int size) {
  plan::Timing t;
  t.first_piece = true;
  std::string out;
  for (const Run& run : runs_of(t, units, size)) out += (out.empty() ? "" : " ") + std::to_string(run.first) + "-" + std::to_string(run.last);
  return out;
}

}  // namespace

TEST_CASE("after a first piece the lot is cut where the steps before were cut, unless that costs a run", "[schedule]") {
  CHECK(runs_in_words(8, 3) == "1-1 2-3 4-6 7-8");
  CHECK(runs_in_words(7, 3) == "1-1 2-4 5-7");
  CHECK(runs_in_words(100, 20) == "1-1 2-20 21-40 41-60 61-80 81-100");
  CHECK(runs_in_words(6, 5) == "1-1 2-6");
  CHECK(runs_in_words(3, 1) == "1-1 2-2 3-3");
  CHECK(runs_in_words(1, 1) == "1-1");
  for (int units = 1; units <= 30; ++units) {
    for (int size = 1; size <= units; ++size) {
      plan::Timing t;
      t.first_piece = true;
      const auto runs = runs_of(t, units, size);
      const int fewest = 1 + (units - 1 + size - 1) / size;  // unit 1, then as few as the size allows
      CHECK(static_cast<int>(runs.size()) == fewest);
      for (const Run& run : runs) CHECK(run.size() <= size);
    }
  }
}

TEST_CASE("a lot is cut into sub-batches that are as large as is allowed where it can be", "[schedule]") {
  plan::Work work;
  work.units = 13;
  work.hours = {{Instant(0), Instant(86400)}};
  work.resources.push_back({ResourceId("me"), "me", plan::Resource::Kind::person, 1, {}, {}, {}, false});
  plan::Step step;
  step.id = StepId("a");
  step.timing.setup = Duration(600);
  step.timing.run = Duration(600);
  step.timing.batch_min = 4;
  step.timing.batch_max = 6;
  work.steps.push_back(step);
  const auto cut_in = [&](int units, int least, int most, bool first_piece = false) {
    work.units = units;
    work.steps[0].timing.batch_min = least;
    work.steps[0].timing.batch_max = most;
    work.steps[0].timing.first_piece = first_piece;
    const plan::Schedule made = schedule::solve(work, {});
    const auto findings = check(work, made);
    if (!findings.empty()) FAIL(samples::describe(work, made) << told(findings));
    std::string out;
    for (const plan::Operation& op : made.operations) out += (out.empty() ? "" : " ") + std::to_string(op.last_unit - op.first_unit + 1);
    return out;
  };
  CHECK(cut_in(13, 4, 6) == "5 4 4");
  CHECK(cut_in(13, 4, 5) == "5 4 4");
  CHECK(cut_in(12, 4, 6) == "6 6");
  CHECK(cut_in(7, 4, 6) == "4 3");  // can't be cut so
  CHECK(cut_in(8, 3, 3) == "3 3 2");
  CHECK(cut_in(14, 4, 6, true) == "1 4 5 4");
  CHECK(cut_in(14, 3, 4, true) == "1 4 3 3 3");
  CHECK(cut_in(11, 4, 6) == "6 5");
  CHECK(cut_in(3, 1, 2) == "2 1");
  CHECK(cut_in(13, 3, 5) == "5 5 3");  // one size is enough
  for (int units = 1; units <= 40; ++units) {
    for (int most = 1; most <= 9; ++most) {
      for (int least = 1; least <= most; ++least) {
        plan::Timing t;
        t.batch_min = least;
        t.batch_max = most;
        bool can = false, is = false;
        for (int n = 1; n <= units; ++n) can = can || (n * least <= units && units <= n * most);
        for (const int size : sizes_of(t, units)) {
          const auto runs = runs_of(t, units, size);
          for (const Run& run : runs) CHECK(run.size() <= size);
          is = is || std::all_of(runs.begin(), runs.end(), [&](const Run& r) { return r.size() >= least; });
        }
        CAPTURE(units, least, most);
        CHECK(can == is);
      }
    }
  }
}

TEST_CASE("schedules of random small works keep every rule", "[schedule][property]") {
  int solved = 0, open = 0, closed = 0;
  for (std::uint64_t seed = 1; seed <= 800; ++seed) {
    const plan::Work work = samples::small_work(seed, 7);
    Limits limits;
    limits.placements = 3000;
    const plan::Schedule made = schedule::solve(work, limits, seed);
    const auto findings = check(work, made);
    if (!findings.empty())
      FAIL(seed << "\n" << samples::describe(work) << samples::describe(work, made) << told(findings));
    solved += made.operations.empty() ? 0 : 1;
    closed += made.status == plan::Schedule::Status::optimal ? 1 : 0;
    open += made.status == plan::Schedule::Status::stopped ? 1 : 0;
  }
  WARN(solved << " solved, " << closed << " closed, " << open << " with neither schedule nor proof");
  CHECK(solved > 500);
}

TEST_CASE("a build of forty steps is scheduled at once", "[schedule]") {
  for (const int units : {1, 5}) {
    const plan::Work work = samples::forty_steps(units);
    const auto begun = std::clock();
    const plan::Schedule made = schedule::solve(work);
    const auto findings = check(work, made);
    if (!findings.empty()) FAIL(samples::describe(work, made) << told(findings));
    REQUIRE_FALSE(made.operations.empty());
    WARN(units << " units: makespan " << in_words(made.makespan) << ", bound " << in_words(made.bound) << ", "
               << made.setups << " set-ups, hands " << in_words(made.hands_on) << ", " << made.stopped_by
               << ", CPU " << static_cast<double>(std::clock() - begun) / CLOCKS_PER_SEC << " s");
  }
}
