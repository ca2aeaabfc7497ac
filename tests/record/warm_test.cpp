#include <catch2/catch.hpp>

#include "record/bench_hand.h"
#include "record/warm.h"

using namespace handlot::record;
using handlot::StepId;
using sample::Hand;

TEST_CASE("a station that warms up is switched on in time", "[record][warm]") {
  Hand hand(1);
  handlot::plan::Resource& oven = hand.plan.work.resources[1];
  oven.warm_up = handlot::minutes(20);
  oven.stays_warm = handlot::minutes(30);
  for (auto& step : hand.plan.work.steps) {
    if (step.id != StepId("bake")) continue;
    step.timing.uses.emplace_back();
    step.timing.uses.back().resource = oven.id;
  }
  for (const char* id : {"verify", "mix"}) hand.done(0, id);
  const auto told = [&] { return to_warm(hand.plan, hand.state(), hand.now()); };
  CHECK(told().empty());  // the feet cure for half an hour before they are oiled
  for (const char* id : {"glue", "solder", "test"}) hand.done(1, id);
  hand.seconds += 3600;
  hand.done(1, "oil");  // 15 min until it can be baked
  REQUIRE(told().size() == 1);
  CHECK(told()[0].step->id == StepId("bake"));
  CHECK(told()[0].on_in_s < 0);
  CHECK(told()[0].begin_in_s == Approx(15 * 60));
  hand.write(Kind::start, 1, "bake", "", {}, "a test");
  CHECK(told().empty());
}

TEST_CASE("a station goes cold after a unit that was scrapped in it", "[record][warm]") {
  Hand hand(2);
  handlot::plan::Resource& oven = hand.plan.work.resources[1];
  oven.warm_up = handlot::minutes(20);
  oven.stays_warm = handlot::minutes(30);
  for (auto& step : hand.plan.work.steps) {
    if (step.id != StepId("bake")) continue;
    step.timing.uses.emplace_back();
    step.timing.uses.back().resource = oven.id;
  }
  for (const char* id : {"verify", "mix"}) hand.done(0, id);
  for (const char* id : {"glue", "solder", "test"}) hand.done(1, id), hand.done(2, id);
  hand.seconds += 3600;
  hand.done(1, "oil");
  hand.seconds += 3600;
  hand.done(2, "oil");
  hand.seconds += 20 * 60;
  const auto told = [&] { return to_warm(hand.plan, hand.state(), hand.now()).size(); };
  hand.write(Kind::start, 1, "bake");
  CHECK(told() == 0);
  hand.write(Kind::scrap, 1, "", "", {}, "cracked");
  hand.seconds += 29 * 60;
  CHECK(told() == 0);
  hand.seconds += 2 * 60;
  CHECK(told() == 1);
}

TEST_CASE("what is switched on is for the unit that comes first, and in time for its set-ups", "[record][warm]") {
  Hand hand(2);
  handlot::plan::Resource& oven = hand.plan.work.resources[1];
  oven.warm_up = handlot::minutes(20);
  handlot::plan::Step* oil = nullptr;
  for (auto& step : hand.plan.work.steps) {
    if (step.id == StepId("oil")) oil = &step;
    if (step.id != StepId("bake")) continue;
    step.timing.uses.emplace_back();
    step.timing.uses.back().resource = oven.id;
  }
  hand.plan.schedule.operations.clear();
  sample::schedule(hand.plan, 1);
  for (const char* id : {"verify", "mix"}) hand.done(0, id);
  for (const char* id : {"glue", "solder", "test"}) hand.done(1, id), hand.done(2, id);
  hand.seconds += 3600;
  const auto told = [&] { return to_warm(hand.plan, hand.state(), hand.now()); };
  REQUIRE(told().size() == 1);
  CHECK(told()[0].begin_in_s == Approx((5 + 15) * 60));
  oil->timing.setup = handlot::minutes(12);
  REQUIRE(told().size() == 1);
  CHECK(told()[0].begin_in_s == Approx((12 + 5 + 15) * 60));
  CHECK(told()[0].units == std::vector<int>{1});
  hand.done(2, "oil");
  REQUIRE(told().size() == 1);
  CHECK(told()[0].units == std::vector<int>{2});  // before unit 1, which is first in the plan
  Task next;
  next.step = StepId("bake");
  next.units = {1};
  next.ready = true;
  const auto with_next = to_warm(hand.plan, hand.state(), hand.now(), &next);
  REQUIRE(with_next.size() == 1);
  CHECK(with_next[0].units == std::vector<int>{1});
  CHECK(with_next[0].begin_in_s == 0);
  next.step = StepId("solder");
  CHECK(to_warm(hand.plan, hand.state(), hand.now(), &next)[0].units == std::vector<int>{2});
}
