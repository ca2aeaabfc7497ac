#include <catch2/catch.hpp>

#include "hands.h"
#include "schedule/check.h"
#include "schedule/serial.h"
#include "schedule/solution.h"

using namespace handlot;
using namespace handlot::schedule;
using samples::hands;

namespace {

plan::Constraint follow(const char* before, const char* after) {
  plan::Constraint c;
  c.from = {StepId(before), plan::Edge::end};
  c.to = {StepId(after), plan::Edge::start};
  c.reason.text = "as asked";
  return c;
}

/// Three steps in a row on every unit, none with a set-up: only the order of the hands is open.
plan::Work three_in_a_row(int units) {
  plan::Work work;
  work.units = units;
  work.resources.push_back({ResourceId("me"), "me", plan::Resource::Kind::person, 1, {}, {}, {}, false});
  work.hours.push_back({Instant(0), Instant(100 * 3600)});
  work.steps = {hands("solder", 4), hands("label", 1), hands("pack", 2)};
  work.constraints = {follow("solder", "label"), follow("label", "pack")};
  return work;
}

/// Placed unit by unit, solder 1, label 1, pack 1, solder 2 ..., unless the hands stay at a step.
Placement placed(const plan::Work& work, std::optional<Time> stay_within) {
  const Numbers numbers(work);
  const TaskSet set = cut(numbers, std::vector<int>(work.steps.size(), 1));
  constexpr Time kNoUrgency = -1;
  Rule rule{{}, kNoUrgency, kNever, tails(set)};
  for (const Task& task : set.tasks) rule.rank.push_back(-task.run.first);
  rule.stay_within = stay_within;
  const auto placement = place_serially(set, Precedence(set), rule, 100);
  REQUIRE(placement);
  CHECK(check(work, [&] {
          plan::Schedule made = in_words(work, set, *placement);
          made.bound = made.makespan;
          return made;
        }()).empty());
  return *placement;
}

int changes(const plan::Work& work, const Placement& placement) {
  const Numbers numbers(work);
  return changes_of_work(cut(numbers, std::vector<int>(work.steps.size(), 1)), placement);
}

}  // namespace

TEST_CASE("hands stay at a step as long as it has units that are ready", "[schedule]") {
  const plan::Work work = three_in_a_row(20);
  CHECK(changes(work, placed(work, std::nullopt)) == 3 * 20 - 1);
  CHECK(changes(work, placed(work, 0)) == 2);
}

TEST_CASE("hands leave a step for a clock that another has begun", "[schedule]") {
  plan::Work work = three_in_a_row(20);
  work.constraints[0].max = Duration(9 * 60);
  const int unit_by_unit = changes(work, placed(work, std::nullopt));
  const int staying = changes(work, placed(work, 0));
  CHECK(staying > 2);
  CHECK(staying < unit_by_unit);
}
