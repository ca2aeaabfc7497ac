#include <catch2/catch.hpp>

#include <ctime>

#include "core/text.h"
#include "samples.h"
#include "schedule/check.h"
#include "schedule/solve.h"

using namespace handlot;
using namespace handlot::schedule;

namespace {

std::string told(const std::vector<plan::Finding>& findings) {
  std::string out;
  for (const plan::Finding& f : findings) out += f.rule.text + ": " + f.message + "\n";
  return out;
}

}  // namespace

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
