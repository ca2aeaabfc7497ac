#include <catch2/catch.hpp>

#include "hands.h"
#include "schedule/bounds.h"
#include "schedule/check.h"
#include "schedule/long_stays.h"
#include "schedule/serial.h"
#include "schedule/solve.h"
#include "schedule/tasks.h"

using namespace handlot;
using namespace handlot::schedule;
using samples::hands;

namespace {

constexpr std::int64_t kHour = 3600, kDay = 24 * kHour;

plan::Step stay(const char* id, const char* station, std::int64_t hours) {
  plan::Step step;
  step.id = StepId(id);
  step.timing.hands_on = false;
  step.timing.unattended = Duration(hours * kHour);
  step.timing.uses.push_back({ResourceId(station), 1, true, {}, {}});
  return step;
}

void follow(plan::Work& work, const char* before, const char* after, std::int64_t within = -1) {
  plan::Constraint link;
  link.from = {StepId(before), plan::Edge::end};
  link.to = {StepId(after), plan::Edge::start};
  if (within >= 0) link.max = Duration(within);
  work.constraints.push_back(link);
}

/// Monday to Friday from 9 to 17, from a Friday on; one person, a rack.
plan::Work shop(int places) {
  plan::Work work;
  work.start = Instant(0);
  work.resources.push_back({ResourceId("me"), "me", plan::Resource::Kind::person, 1, {}, {}, {}, false});
  work.resources.push_back({ResourceId("rack"), "rack", plan::Resource::Kind::station, places, {}, {}, {}, false});
  for (int day = 0; day < 84; ++day) {
    if (day % 7 == 1 || day % 7 == 2) continue;
    work.hours.push_back({Instant(day * kDay), Instant(day * kDay + 8 * kHour)});
  }
  return work;
}

TaskSet cut_by_units(const plan::Work& work) {
  return cut(Numbers(work), std::vector<int>(work.steps.size(), 1));
}

}  // namespace

TEST_CASE("a long stay is decided by what a short clock ties to it", "[schedule]") {
  plan::Work work = shop(1);
  work.steps = {hands("oil", 10), hands("wipe", 5), stay("dry", "rack", 24), stay("air", "rack", 1)};
  follow(work, "oil", "wipe", 600);
  follow(work, "wipe", "dry", 1800);
  follow(work, "dry", "air");
  const auto stays = long_stays(cut_by_units(work));
  REQUIRE(stays.size() == 4);
  REQUIRE((stays[0] && stays[1] && stays[2]));
  CHECK(stays[2]->ends_after == 24 * kHour);
  CHECK(stays[1]->ends_after == 24 * kHour + 5 * 60);
  CHECK(stays[0]->ends_after == 24 * kHour + 15 * 60);
  CHECK_FALSE(stays[3]);
}

TEST_CASE("stays of one length leave nothing to choose", "[schedule]") {
  plan::Work work = shop(2);
  work.steps = {stay("first", "rack", 24), stay("second", "rack", 24)};
  CHECK_FALSE(differ(long_stays(cut_by_units(work))));
  work.steps.push_back(stay("third", "rack", 72));
  CHECK(differ(long_stays(cut_by_units(work))));
}

TEST_CASE("three days on the rack go first on a Friday, one day on a Monday", "[schedule]") {
  plan::Work work = shop(1);
  work.steps = {stay("day", "rack", 24), stay("three-days", "rack", 72)};
  const TaskSet set = cut_by_units(work);
  const Precedence precedence(set);
  const auto stays = long_stays(set);
  Rule rule{{2, 1}};  // the day first
  const auto plain = place_serially(set, precedence, rule, 0);
  REQUIRE(plain);
  CHECK(finish_of(set, *plain) == 6 * kDay);  // Saturday; then Monday to Thursday
  rule.stays = &stays;
  const auto filled = place_serially(set, precedence, rule, 0);
  REQUIRE(filled);
  CHECK(filled->start[1] == 0);
  CHECK(finish_of(set, *filled) == 4 * kDay);  // Monday; then Tuesday
}

TEST_CASE("a lot that dries a day and three days fills the weekends of its rack", "[schedule]") {
  plan::Work work = shop(6);
  work.units = 25;
  work.steps = {hands("coat", 10), stay("dry", "rack", 24), hands("coat-again", 10), stay("harden", "rack", 72), hands("pack", 5)};
  for (const auto& [before, after] : {std::pair("coat", "dry"), std::pair("coat-again", "harden")}) follow(work, before, after, 1800);
  follow(work, "dry", "coat-again");
  follow(work, "harden", "pack");
  Limits limits;
  limits.costs = limits.reliefs = false;
  limits.placements = 100000;
  const plan::Schedule made = schedule::solve(work, limits, 1);
  CHECK(check(work, made).empty());
  // 25 units of four days on six places: 17 days at least.
  CHECK(made.bound >= Duration(25 * 4 * kDay / 6));
  CHECK(made.makespan.seconds <= made.bound.seconds + made.bound.seconds * 8 / 100);
  WARN("makespan " << made.makespan.seconds / 3600 << " h, bound " << made.bound.seconds / 3600 << " h");
}
