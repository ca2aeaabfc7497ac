#include "cli/progress.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "record/sample.h"
#include "record/timers.h"

using namespace handlot;

namespace {

using sample::kMorning, sample::stamp;

record::Event line(std::int64_t seq, record::Kind kind, const char* step, int unit, std::int64_t ran_s, std::int64_t wall_s) {
  return sample::line(seq, kind, step, unit, stamp(ran_s, wall_s));
}

const pipeline::Done& done_of(const pipeline::Progress& p, const char* step, int unit) {
  for (const auto& d : p.done) {
    if (d.step == StepId(step) && d.unit == unit) return d;
  }
  FAIL("not there: " << step << " " << unit);
  return p.done.front();
}

}  // namespace

TEST_CASE("units begun together end together, one after the other's work", "[progress]") {
  const auto plan = sample::plan();
  const std::vector<record::Event> lines{line(1, record::Kind::done, "verify", 0, 0, 0), line(2, record::Kind::start, "solder", 1, 60, 60),
                                         line(3, record::Kind::start, "solder", 2, 60, 60)};
  const auto state = record::derive(plan, lines);
  const auto p = cli::progress_of(plan, state, record::now_moment(stamp(120, 120)));
  CHECK(p.now == Instant(kMorning + 120));
  CHECK(done_of(p, "verify", 4).end == Instant(kMorning));  // the whole lot: every unit
  CHECK(done_of(p, "solder", 1).end == Instant(kMorning + 60 + 2 * 360));
  CHECK(done_of(p, "solder", 2).hands_end == done_of(p, "solder", 1).end);
  const auto much_later = cli::progress_of(plan, state, record::now_moment(stamp(36000, 36000)));
  CHECK(done_of(much_later, "solder", 1).end == much_later.now);
}

TEST_CASE("a clock that was set shortens no cure for the planner either", "[progress]") {
  const auto plan = sample::plan();
  record::Event jump = line(2, record::Kind::clock, "", 0, 60, 60 + 86400);
  jump.value = 86400;
  const std::vector<record::Event> lines{line(1, record::Kind::done, "glue", 1, 0, 0), jump};
  const auto p = cli::progress_of(plan, record::derive(plan, lines), record::now_moment(stamp(120, 120 + 86400)));
  CHECK(p.now - done_of(p, "glue", 1).end == Duration(120));  // not a day and two minutes
  CHECK(done_of(p, "glue", 1).unseen_end == hours(24));       // but perhaps
}

TEST_CASE("what was in hand on a unit that is scrapped has ended with it", "[progress]") {
  const auto plan = sample::plan();
  record::Event scrap = line(2, record::Kind::scrap, "", 2, 700, 700);
  scrap.text = "burnt";
  const std::vector<record::Event> lines{line(1, record::Kind::start, "solder", 2, 600, 600), scrap};
  const auto p = cli::progress_of(plan, record::derive(plan, lines), record::now_moment(stamp(710, 710)));
  CHECK(done_of(p, "solder", 2).end == Instant(kMorning + 700));
  CHECK(done_of(p, "solder", 2).hands_end < p.now);
}

TEST_CASE("the planner is told what is done again with a step whose clock spoils it", "[progress]") {
  auto plan = sample::plan();
  const auto told = [&] { return cli::progress_of(plan, record::derive(plan, {}), record::now_moment(stamp(0, 0))).rests_on; };
  CHECK(told().empty());
  const auto link = std::find_if(plan.work.constraints.begin(), plan.work.constraints.end(), [](const auto& c) { return c.max.has_value(); });
  REQUIRE(link != plan.work.constraints.end());
  link->spoils = true;
  CHECK(told() == std::map<StepId, std::vector<StepId>>{{link->from.step, record::downstream(plan, link->from.step)}});
}

TEST_CASE("what runs by itself ends its time after the hands left; agreed times and absences count", "[progress]") {
  const auto plan = sample::plan();
  record::Event times = line(3, record::Kind::times, "solder", 0, 700, 700);
  times.value = 500;
  record::Event away = line(4, record::Kind::away, "", 0, 700, 700);
  away.item = "oven";
  away.value = 3600;
  record::Event scrap = line(6, record::Kind::scrap, "", 4, 700, 700);
  scrap.text = "split";
  const std::vector<record::Event> lines{line(1, record::Kind::start, "bake", 1, 600, 600), line(2, record::Kind::leave, "bake", 1, 660, 660), times, away,
                                         line(5, record::Kind::start, "solder", 2, 700, 700), scrap};
  const auto p = cli::progress_of(plan, record::derive(plan, lines), record::now_moment(stamp(1000, 1000)));
  CHECK(done_of(p, "bake", 1).end == Instant(kMorning + 660 + 600));
  CHECK(done_of(p, "bake", 1).hands_end < p.now);
  CHECK(done_of(p, "solder", 2).end == Instant(kMorning + 700 + 500));
  CHECK(p.own_run_times.at(StepId("solder")) == Duration(500));
  CHECK(p.away.at(ResourceId("oven")) == Duration(3300));
  CHECK(p.scrapped == std::set<int>{4});
}

TEST_CASE("a run that its station let go is planned again", "[progress]") {
  auto plan = sample::plan();
  for (auto& step : plan.work.steps) {
    if (step.id != StepId("bake")) continue;
    step.timing.uses.emplace_back();
    step.timing.uses.back().resource = ResourceId("oven");
  }
  plan.work.resources[1].warm_up = minutes(10);
  record::Event away = line(3, record::Kind::away, "", 0, 180, 180);
  away.item = "oven";
  away.value = 3600;
  std::vector<record::Event> lines{line(1, record::Kind::start, "bake", 1, 0, 0), line(2, record::Kind::leave, "bake", 1, 60, 60)};
  const auto told = [&] { return cli::progress_of(plan, record::derive(plan, lines), record::now_moment(stamp(200, 200))).done.size(); };
  CHECK(told() == 1);
  lines.push_back(away);
  CHECK(told() == 0);
}
