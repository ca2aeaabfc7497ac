// What the plan says of each operation, and that nothing waits without need.
#include <catch2/catch.hpp>

#include "samples.h"
#include "schedule/check.h"
#include "schedule/push_left.h"
#include "schedule/serial.h"
#include "schedule/solve.h"

using namespace handlot;
using namespace handlot::schedule;
using namespace handlot::plan;

namespace {

Step step(const char* id, Duration run, Duration unattended = Duration(0)) {
  Step s;
  s.id = StepId(id);
  s.timing.run = run;
  s.timing.unattended = unattended;
  s.timing.hands_on = run.seconds > 0;
  return s;
}

Constraint after(const char* from, const char* to, const char* why) {
  Constraint c;
  c.from = {StepId(from), Edge::end};
  c.to = {StepId(to), Edge::start};
  c.reason.text = why;
  return c;
}

Work day_of_one(int units) {
  Work work;
  work.units = units;
  work.start = Instant(0);
  work.hours = {{Instant(0), Instant(8 * 3600)}, {Instant(86400), Instant(86400 + 8 * 3600)}};
  work.resources = {{ResourceId("ann"), "", Resource::Kind::person, 1, {}, {}, {}, false}};
  return work;
}

std::string because(const Schedule& made, const char* step, int unit) {
  for (const Operation& op : made.operations) {
    if (op.step.text == step && op.first_unit <= unit && unit <= op.last_unit) return op.because;
  }
  return "none";
}

Schedule solved(const Work& work) {
  Limits limits;
  limits.reliefs = false;
  const Schedule made = schedule::solve(work, limits);
  CHECK(check(work, made).empty());
  return made;
}

}  // namespace

TEST_CASE("a thing explains a start only where there was too little of it", "[schedule]") {
  Work work = day_of_one(2);
  work.resources.push_back({ResourceId("shelf"), "", Resource::Kind::station, 2, {}, {}, {}, false});
  work.steps = {step("prep", minutes(30)), step("dry", {}, minutes(30))};
  work.steps[0].timing.batch_max = work.steps[1].timing.batch_max = 1;
  work.steps[1].timing.uses = {{ResourceId("shelf"), 1, true, {}, {}}};
  work.constraints = {after("prep", "dry", "prep is listed first")};
  CHECK(because(solved(work), "dry", 2) == "after 'prep' of unit 2: prep is listed first");
  work.resources[1].capacity = 1;
  work.steps[1].timing.unattended = minutes(40);
  CHECK(because(solved(work), "dry", 2) == "'shelf' comes free from 'dry' of unit 1");
}

TEST_CASE("air, warmth and a latest end are told as what holds a step back", "[schedule]") {
  Work work = day_of_one(1);
  work.steps = {step("oil", minutes(10)), step("solder", minutes(10))};
  NeverTogether pair;
  pair.a = StepId("oil");
  pair.b = StepId("solder");
  pair.clear_after_a = minutes(30);
  pair.clear_after_b = hours(5);
  pair.reason.text = "vapour and a hot iron";
  work.apart = {pair};
  CHECK(because(solved(work), "solder", 1) == "30 min after 'oil' of unit 1: vapour and a hot iron");

  work = day_of_one(1);
  work.resources.push_back({ResourceId("oven"), "", Resource::Kind::station, 1, minutes(20), minutes(5), {}, false});
  work.steps = {step("fit", minutes(30)), step("bake", minutes(2), minutes(40))};
  work.steps[1].timing.uses = {{ResourceId("oven"), 1, false, {}, {}}};
  CHECK(because(solved(work), "bake", 1) == "'oven' warms up for 20 min");
  work.constraints = {after("fit", "bake", "fit is listed first")};
  CHECK(because(solved(work), "bake", 1) == "hands come free from 'fit' of unit 1; 'oven' is switched on 20 min before");

  work = day_of_one(1);
  work.steps = {step("wait", {}, hours(4)), step("mix", minutes(5)), step("pour", minutes(5))};
  work.constraints = {after("mix", "pour", "the mix sets"), after("wait", "pour", "the mould is dry")};
  work.constraints[0].max = minutes(15);
  CHECK(because(solved(work), "mix", 1) == "no sooner, as 'pour' of unit 1 must come within 15 min: the mix sets");
  work.hours = {{Instant(0), Instant(225 * 60)}, {Instant(240 * 60), Instant(600 * 60)}};
  CHECK(because(solved(work), "mix", 1) == "'pour' of unit 1 comes no sooner, and must come within 15 min: the mix sets");
}

TEST_CASE("a clock starts as late as what stands between can move up", "[schedule]") {
  Work work = day_of_one(1);
  work.steps = {step("wipe", minutes(5)), step("sort", minutes(60)), step("drill", minutes(60)), step("glue", minutes(5))};
  work.constraints = {after("wipe", "glue", "wiped that day"), after("drill", "glue", "drilled"), after("sort", "drill", "sorted")};
  work.constraints[0].max = minutes(200);
  const plan::Schedule made = solved(work);
  const auto start = [&](const char* name) {
    for (const plan::Operation& o : made.operations)
      if (o.step.text == name) return (o.start - work.start).seconds / 60;
    return std::int64_t{-1};
  };
  CHECK(made.makespan == minutes(130));
  CHECK(start("sort") == 0);
  CHECK(start("drill") == 60);
  CHECK(start("wipe") == 120);
  CHECK(start("glue") == 125);
}

TEST_CASE("what hurries a step keeps half of its time when the step starts its own clock late", "[schedule]") {
  Work work = day_of_one(1);
  work.steps = {step("sand", minutes(5)), step("wipe", minutes(5)), step("sort", minutes(60)), step("drill", minutes(60)), step("glue", minutes(5))};
  work.constraints = {after("sand", "wipe", "sanded that day"), after("wipe", "glue", "wiped that day"), after("drill", "glue", "drilled"),
                      after("sort", "drill", "sorted"), after("sand", "sort", "dust")};
  work.constraints[0].max = minutes(80);
  work.constraints[1].max = minutes(130);
  const plan::Schedule made = solved(work);
  CHECK(check(work, made).empty());
  CHECK(made.makespan == minutes(135));
  Instant sanded, wiped;
  for (const plan::Operation& o : made.operations) {
    if (o.step.text == "sand") sanded = o.end;
    if (o.step.text == "wipe") wiped = o.start;
  }
  CHECK((wiped - sanded).seconds <= 40 * 60);
}

TEST_CASE("what waits without need is pushed together, clocks with what they hurry", "[schedule]") {
  Work work = day_of_one(3);
  work.steps = {step("glue", minutes(4)), step("clamp", minutes(2)), step("wrap", minutes(3))};
  work.constraints = {after("glue", "clamp", "open time"), after("clamp", "wrap", "clamped")};
  work.constraints[0].max = minutes(12);
  const Numbers numbers(work);
  const TaskSet set = cut(numbers, {1, 1, 1});
  const Precedence precedence(set);
  Rule rule;
  rule.rank = tails(set);
  const auto tight = place_serially(set, precedence, rule, 10);
  REQUIRE(tight);
  Placement loose = *tight;
  for (Time& start : loose.start) start = 2 * start + 31;
  const Placement pushed = push_left(set, precedence, loose);
  CHECK(finish_of(set, pushed) == finish_of(set, *tight));
  const plan::Schedule made = in_words(work, set, pushed);
  for (const Finding& f : check(work, made)) CHECK(f.rule.text == "schedule-sums");
  CHECK(pushed.start[0] == 0);
}

TEST_CASE("a hundred units in four plain steps are done as soon as by an easy hand schedule", "[schedule]") {
  Work work = day_of_one(100);
  work.hours.clear();
  // 9:00 to 12:30 and 13:30 to 17:30, the second day from 8:00
  for (const auto& [open, close] : {std::pair(0, 210), {270, 510}, {1380, 1650}, {1710, 1950}, {2820, 3090}, {3150, 3390}})
    work.hours.push_back({Instant(60 * open), Instant(60 * close)});
  work.resources.push_back({ResourceId("oven"), "", Resource::Kind::station, 20, {}, {}, {}, true});
  work.steps = {step("fit", minutes(3)), step("bake", {}, minutes(30)), step("test", minutes(4)), step("pack", minutes(2))};
  work.steps[1].timing.setup = minutes(2);
  work.steps[1].timing.uses = {{ResourceId("oven"), 1, true, {}, {}}};
  work.steps[2].timing.setup = minutes(5);
  work.constraints = {after("fit", "bake", "fitted"), after("bake", "test", "baked"), after("test", "pack", "tested")};
  Limits limits;
  limits.reliefs = limits.costs = false;
  limits.raises = 400000;
  limits.placements = 400 * 400;
  const Schedule made = schedule::solve(work, limits);
  CHECK(check(work, made).empty());
  CHECK(made.makespan <= minutes(1941));  // in twenties, by hand
}
