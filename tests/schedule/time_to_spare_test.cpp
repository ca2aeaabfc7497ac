#include <catch2/catch.hpp>

#include <algorithm>

#include "hands.h"
#include "schedule/check.h"
#include "schedule/solve.h"
#include "schedule/time_to_spare.h"

using namespace handlot;
using namespace handlot::schedule;
using samples::hands;

namespace {

constexpr std::int64_t kMinute = 60;

plan::Constraint link(const char* before, const char* after, std::int64_t least, std::optional<std::int64_t> most) {
  plan::Constraint c;
  c.from = {StepId(before), plan::Edge::end};
  c.to = {StepId(after), plan::Edge::start};
  c.min = Duration(least);
  if (most) c.max = Duration(*most);
  c.reason.text = "as asked";
  return c;
}

std::int64_t planned(std::int64_t least, std::int64_t most) {
  plan::Work work;
  work.constraints = {link("a", "b", least, most)};
  return with_time_to_spare(work).constraints.front().max->seconds;
}

/// Oil that is wiped off within `within` minutes, and sanding of ten minutes that may lie between.
plan::Work oil_and_sand(std::int64_t within, bool sand_between) {
  plan::Work work;
  work.resources.push_back({ResourceId("me"), "me", plan::Resource::Kind::person, 1, {}, {}, {}, false});
  work.hours.push_back({Instant(0), Instant(8 * 60 * kMinute)});
  work.steps = {hands("oil", 3), hands("wipe", 5), hands("sand", 10)};
  work.constraints = {link("oil", "wipe", 5 * kMinute, within * kMinute)};
  if (sand_between) {
    work.constraints.push_back(link("oil", "sand", 0, std::nullopt));
    work.constraints.push_back(link("sand", "wipe", 0, std::nullopt));
  }
  return work;
}

plan::Schedule with_spare(const plan::Work& work) {
  Limits limits;
  limits.spare = true;
  plan::Schedule made = schedule::solve(work, limits, 1);
  REQUIRE(made.operations.size() == work.steps.size());
  CHECK(check(work, made).empty());
  return made;
}

std::int64_t soaks(const plan::Schedule& made) {
  const auto op = [&](const char* id) {
    return *std::find_if(made.operations.begin(), made.operations.end(), [&](const plan::Operation& o) { return o.step.text == id; });
  };
  return (op("wipe").start - op("oil").end).seconds;
}

}  // namespace

TEST_CASE("a clock is planned with a quarter of its window to spare, half an hour at most", "[schedule]") {
  CHECK(planned(5 * kMinute, 10 * kMinute) == 9 * kMinute);
  CHECK(planned(8 * kMinute, 10 * kMinute) == 9 * kMinute + 30);
  CHECK(planned(0, 30 * kMinute) == 22 * kMinute + 30);
  CHECK(planned(0, 8 * 60 * kMinute) == 7 * 60 * kMinute + 30 * kMinute);
  CHECK(planned(60, 90) == 90);  // too short to share
  CHECK(planned(600, 600) == 600);
  CHECK(planned(-3600, 0) == 0);
  plan::Work open;
  open.constraints = {link("a", "b", 60, std::nullopt)};
  CHECK_FALSE(with_time_to_spare(open).constraints.front().max);
}

TEST_CASE("no ten minutes of sanding while oil waits ten minutes at most", "[schedule]") {
  const plan::Work work = oil_and_sand(10, false);
  const plan::Schedule made = with_spare(work);
  CHECK(soaks(made) <= 9 * kMinute);
  CHECK(schedule::solve(work, {}, 1).makespan < made.makespan);  // the last minute would have been sooner
}

TEST_CASE("where a lot leaves no time to spare, the latest end itself holds", "[schedule]") {
  const plan::Schedule made = with_spare(oil_and_sand(10, true));
  CHECK(soaks(made) == 10 * kMinute);
  CHECK(made.status == plan::Schedule::Status::optimal);
  Limits limits;
  limits.spare = true;
  // Too much to ask either way: told in the words of the job.
  const plan::Schedule none = schedule::solve(oil_and_sand(9, true), limits, 1);
  CHECK(none.status == plan::Schedule::Status::infeasible);
  CHECK_FALSE(none.clash.empty());
}
