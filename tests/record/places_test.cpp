#include <catch2/catch.hpp>

#include <algorithm>

#include "record/bench_hand.h"
#include "record/places.h"
#include "record/reserve.h"

using namespace handlot::record;
using handlot::Duration;
using handlot::ResourceId;
using handlot::StepId;
using handlot::plan::Resource;
using handlot::plan::Use;
using sample::Hand;
using sample::says;

namespace {

handlot::plan::Step& step(Hand& hand, const char* id) {
  for (auto& one : hand.plan.work.steps)
    if (one.id == StepId(id)) return one;
  FAIL(id);
  return hand.plan.work.steps.front();
}

Resource& resource(Hand& hand, const char* id) {
  for (auto& one : hand.plan.work.resources)
    if (one.id == ResourceId(id)) return one;
  Resource r;
  r.id = ResourceId(id);
  r.name = id;
  r.kind = Resource::Kind::fixture;
  hand.plan.work.resources.push_back(r);
  return hand.plan.work.resources.back();
}

void use(Hand& hand, const char* id, const char* of, bool per_unit = true, Duration hold = {}, const char* until = nullptr) {
  Use u;
  u.resource = ResourceId(of);
  u.per_unit = per_unit;
  u.hold_after_end = hold;
  if (until) u.until_start_of = StepId(until);
  step(hand, id).timing.uses.push_back(u);
}

/// Only the places decide.
Hand free_order(int lot = 4) {
  Hand hand(lot);
  hand.plan.work.constraints.clear();
  hand.plan.work.apart.clear();
  hand.plan.waits.clear();
  return hand;
}

Hand with_oven(int places) {
  Hand hand = free_order();
  resource(hand, "oven").capacity = places;
  resource(hand, "oven").together = places > 1;
  use(hand, "bake", "oven");
  return hand;
}

bool may_begin(const Hand& hand, int unit, const char* id) { return hand.ask(Kind::start, unit, id).empty(); }

}  // namespace

TEST_CASE("an oven that runs takes no more in, and says until when", "[record][places]") {
  Hand hand = with_oven(6);
  hand.write(Kind::start, 1, "bake");
  hand.write(Kind::start, 2, "bake");
  hand.seconds = 60;
  CHECK(may_begin(hand, 3, "bake"));  // it is still being loaded
  hand.write(Kind::leave, 1, "bake");
  hand.write(Kind::leave, 2, "bake");
  hand.seconds = 120;
  const auto refused = hand.ask(Kind::start, 3, "bake");
  REQUIRE(refused.size() == 1);
  CHECK(refused[0].text == "oven is in use until Thu 19 Nov 09:11: step 70 (Warm the case), units 1 and 2");
  CHECK(refused[0].mend == "wait until there is a place, or write why there is one all the same");
  CHECK(hand.ask(Kind::start, 3, "bake", "", {}, "in the neighbour's oven").empty());
  SECTION("until somebody takes out what has run its time") {
    hand.seconds = 700;
    CHECK(says(hand.ask(Kind::start, 3, "bake"), "has run its time: take it out, and tick it"));
    hand.write(Kind::done, 1, "bake");
    CHECK_FALSE(may_begin(hand, 3, "bake"));
    hand.write(Kind::done, 2, "bake");
    CHECK(may_begin(hand, 3, "bake"));
  }
  SECTION("a scrapped unit takes no place") {
    hand.write(Kind::scrap, 1, "", "", {}, "split");
    hand.write(Kind::scrap, 2, "", "", {}, "split");
    CHECK(may_begin(hand, 3, "bake"));
  }
  SECTION("the hands are told to wait, and for what") {
    const View view = look(hand.plan, hand.state(), hand.now());
    CHECK((!view.now || view.now->step != StepId("bake")));
    CHECK(says(hand.ask(Kind::start, 4, "bake"), "until Thu 19 Nov 09:11"));
  }
}

TEST_CASE("what the plan begins at one time is loaded one after the other", "[record][places]") {
  Hand hand = with_oven(6);
  resource(hand, "oven").together = true;
  use(hand, "close", "oven");
  step(hand, "close").timing.first_piece = false;
  auto& ops = hand.plan.schedule.operations;
  std::erase_if(ops, [](const auto& op) { return op.step == StepId("close"); });
  const auto bake = *std::find_if(ops.begin(), ops.end(), [](const auto& op) { return op.step == StepId("bake"); });
  for (const int later : {0, 3600}) {
    handlot::plan::Operation op = bake;
    op.step = StepId("close");
    op.first_unit = later == 0 ? 1 : 3;
    op.last_unit = later == 0 ? 2 : 4;
    op.start = bake.start + Duration(later);
    ops.push_back(op);
  }
  hand.write(Kind::start, 4, "bake");
  hand.write(Kind::leave, 4, "bake");
  hand.seconds = 30;
  CHECK(may_begin(hand, 1, "close"));
  CHECK_FALSE(may_begin(hand, 3, "close"));
}

TEST_CASE("no more units go in than there are places", "[record][places]") {
  Hand hand = with_oven(2);
  for (const int n : {1, 2}) hand.write(Kind::start, n, "bake");
  CHECK(says(hand.ask(Kind::start, 3, "bake"), "oven: 0 of 2 free: step 70 (Warm the case), units 1 and 2, are in hand"));
  Hand one = with_oven(1);
  one.write(Kind::start, 1, "bake");
  CHECK(says(one.ask(Kind::start, 2, "bake"), "oven is in use: step 70 (Warm the case), unit 1, is in hand"));
}

TEST_CASE("nor through a step at once than the plan lets through", "[record][places]") {
  Hand hand = free_order(6);
  step(hand, "glue").timing.batch_max = 3;
  for (const int n : {1, 2, 3}) hand.write(Kind::start, n, "glue");
  CHECK(says(hand.ask(Kind::start, 4, "glue"), "step 50 (Glue the feet to the case) takes at most 3 units at once"));
  hand.seconds += 1;  // another pair of hands
  CHECK(may_begin(hand, 4, "glue"));
}

TEST_CASE("a clamp is taken while the bond cures in it", "[record][places]") {
  Hand hand = free_order();
  resource(hand, "press").capacity = 2;
  use(hand, "glue", "press", true, handlot::minutes(30));
  hand.done(1, "glue");
  CHECK(may_begin(hand, 2, "glue"));
  hand.seconds += 600;
  hand.done(2, "glue");
  const auto refused = hand.ask(Kind::start, 3, "glue");
  REQUIRE(refused.size() == 1);
  CHECK(refused[0].text == "press: 0 of 2 free until Thu 19 Nov 09:31: step 50 (Glue the feet to the case), units 1 and 2");
  SECTION("and no longer") {
    hand.seconds = 60 + 1800;
    CHECK(may_begin(hand, 3, "glue"));
  }
  SECTION("a scrapped unit frees it") {
    hand.write(Kind::scrap, 2, "", "", {}, "split");
    CHECK(may_begin(hand, 3, "glue"));
  }
  SECTION("so does one that is to be done again") {
    hand.write(Kind::rework, 1, "glue", "", {}, "foot is askew");
    CHECK(may_begin(hand, 3, "glue"));
  }
  SECTION("what was done without a touch at its begin was done") { CHECK(hand.ask(Kind::done, 3, "glue").empty()); }
}

TEST_CASE("what is held until a step begins is free with it, and that step has it", "[record][places]") {
  Hand hand = free_order();
  resource(hand, "press");
  use(hand, "glue", "press", true, {}, "oil");
  use(hand, "oil", "press");
  hand.done(1, "glue");
  CHECK(says(hand.ask(Kind::start, 2, "glue"), "press is in use: step 50 (Glue the feet to the case), unit 1, until step 60 (Oil the case) begins"));
  CHECK_FALSE(may_begin(hand, 2, "oil"));
  CHECK(may_begin(hand, 1, "oil"));
  hand.done(1, "oil");
  CHECK(may_begin(hand, 2, "glue"));
}

TEST_CASE("a jig that the plan gives to several units at once is theirs together", "[record][places]") {
  Hand hand = free_order(8);  // in batches of four
  resource(hand, "jig");
  use(hand, "glue", "jig", false, handlot::minutes(30));
  hand.done(1, "glue");
  CHECK(may_begin(hand, 2, "glue"));
  CHECK_FALSE(may_begin(hand, 5, "glue"));
  hand.seconds += 1801;
  CHECK(may_begin(hand, 5, "glue"));
}

TEST_CASE("no more units are offered than have a place", "[record][places][look]") {
  Hand hand = with_oven(3);
  for (const char* id : {"verify", "mix"}) hand.done(0, id);
  for (const char* id : {"solder", "test", "glue", "oil"})
    for (int n = 1; n <= 4; ++n) hand.done(n, id);
  const View view = look(hand.plan, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("bake"));
  CHECK(view.now->units == std::vector<int>{1, 2, 3});
}

TEST_CASE("what is reported away is not begun with, and starts no clock that it cannot end", "[record][places][away]") {
  Hand hand(1);
  use(hand, "bake", "oven");
  for (const char* id : {"verify", "mix"}) hand.done(0, id);
  for (const char* id : {"glue", "solder", "test"}) hand.done(1, id);
  hand.seconds += 1800;
  CHECK(look(hand.plan, hand.state(), hand.now()).now->step == StepId("oil"));
  CHECK(says(hand.ask(Kind::away, 0, "", "no-such-thing", 3600), "the plan has no 'no-such-thing' that could be away"));
  SECTION("for a day: oil is not wiped in time") {
    const std::string line = hand.write(Kind::away, 0, "", "oven", 24 * 3600, "no heat");
    const View view = look(hand.plan, hand.state(), hand.now());
    CHECK((!view.now || view.now->step != StepId("oil")));
    REQUIRE_FALSE(view.next.empty());
    CHECK(view.next.front().better_later.find("step 70 (Warm the case) must follow within 2 h, and cannot yet: oven is not to be had until Fri 20 Nov") == 0);
    CHECK(says(hand.ask(Kind::start, 1, "bake"), "oven is not to be had until"));
    CHECK(hand.ask(Kind::start, 1, "oil").empty());
    hand.strike(line, "it is back");
    CHECK(look(hand.plan, hand.state(), hand.now()).now->step == StepId("oil"));
  }
  SECTION("for an hour: there is time enough") {
    hand.write(Kind::away, 0, "", "oven", 3600);
    CHECK(look(hand.plan, hand.state(), hand.now()).now->step == StepId("oil"));
  }
  SECTION("a person is no place: whoever stands there works") {
    hand.write(Kind::away, 0, "", "builder", 24 * 3600);
    CHECK(look(hand.plan, hand.state(), hand.now()).now->step == StepId("oil"));
  }
  CHECK(in_words(hand.plan, hand.make(Kind::away, 0, "", "builder", 7200)) == "builder is not to be had for 2 h");
}

TEST_CASE("a clamp that comes free in time is taken again", "[record][places]") {
  Hand hand = free_order();
  resource(hand, "press").capacity = 2;
  use(hand, "glue", "press", true, handlot::minutes(20));  // 24 min with the run
  auto clean = sample::link("solder", "glue", handlot::plan::ReasonKind::surface, "it gets dull", Duration(0), handlot::hours(8));
  hand.plan.waits = {sample::wait_of(clean, "it gets dull", "glue", "clean it again")};
  const auto why_not = [&](std::vector<int> units) {
    const auto state = hand.state();
    return no_place_left(hand.plan, state, timers(hand.plan, state, hand.now()), step(hand, "solder"), units, hand.now());
  };
  CHECK(why_not({1, 2, 3, 4}).empty());
  for (const int n : {1, 2}) hand.done(n, "solder");
  CHECK(why_not({3, 4}).empty());  // with two that are promised a clamp
  hand.plan.waits[0].max = handlot::minutes(5);
  CHECK_FALSE(why_not({3}).empty());
  hand.lines.clear();
  CHECK(why_not({1, 2}).empty());
  CHECK_FALSE(why_not({1, 2, 3}).empty());  // 6 min a unit to clean, and 5: no clamp is free again by then
  hand.plan.waits[0].max = handlot::minutes(6);
  CHECK(why_not({1, 2, 3}).empty());
}

TEST_CASE("no clock is started at whose end there is no place, and none is taken from one that runs", "[record][places][look]") {
  Hand hand;
  auto vent = sample::step("vent", 95, "Let the vapour go", handlot::minutes(1));
  vent.timing.unattended = handlot::hours(24);
  hand.plan.work.steps.push_back(vent);
  resource(hand, "rack").capacity = 2;
  use(hand, "vent", "rack");
  use(hand, "bake", "rack", true, handlot::hours(24));
  for (const char* id : {"verify", "mix"}) hand.done(0, id);
  for (const char* id : {"solder", "test", "glue"})
    for (int n = 1; n <= 4; ++n) hand.done(n, id);
  hand.seconds += 3600;
  const auto oil_of = [&](const State& state, std::vector<int> units) { return no_place_left(hand.plan, state, timers(hand.plan, state, hand.now()), step(hand, "oil"), units, hand.now()); };
  CHECK(oil_of(hand.state(), {1, 2}).empty());
  CHECK(oil_of(hand.state(), {1, 2, 3}) == "step 70 (Warm the case) must follow within 2 h 15 min, and there is no place for it: rack is full");
  SECTION("a full rack") {
    for (const int n : {1, 2}) {
      hand.write(Kind::start, n, "vent");
      hand.write(Kind::leave, n, "vent");
    }
    CHECK_FALSE(oil_of(hand.state(), {3}).empty());
    hand.seconds += 22 * 3600 + 600;  // free before the oil gets sticky
    CHECK(oil_of(hand.state(), {3}).empty());
  }
  SECTION("the last place") {
    hand.write(Kind::start, 1, "vent");
    hand.write(Kind::leave, 1, "vent");
    hand.done(3, "oil");
    CHECK(no_place_left(hand.plan, hand.state(), timers(hand.plan, hand.state(), hand.now()), step(hand, "vent"), {4}, hand.now()) == "rack is kept for step 70 (Warm the case), unit 3");
    CHECK(no_place_left(hand.plan, hand.state(), timers(hand.plan, hand.state(), hand.now()), step(hand, "bake"), {3}, hand.now()).empty());
    CHECK(hand.ask(Kind::start, 4, "vent").empty());  // whoever knows of another rack goes on
    step(hand, "vent").timing.unattended = handlot::minutes(15);  // gone before it is needed
    CHECK(no_place_left(hand.plan, hand.state(), timers(hand.plan, hand.state(), hand.now()), step(hand, "vent"), {4}, hand.now()).empty());
  }
  SECTION("the hands get as many as have a place") {
    const View view = look(hand.plan, hand.state(), hand.now());
    REQUIRE(view.now);
    CHECK(view.now->step == StepId("oil"));
    CHECK(view.now->units == std::vector<int>{1, 2});
  }
}

TEST_CASE("what runs in a station that goes away is looked at, and not ticked as over", "[record][places][away][look]") {
  Hand hand = with_oven(1);
  resource(hand, "oven").warm_up = handlot::minutes(10);
  hand.write(Kind::start, 1, "bake");
  hand.write(Kind::leave, 1, "bake");
  hand.seconds += 2 * 60;
  const auto seen = [&] { return look(hand.plan, hand.state(), hand.now()); };
  const auto bake_is_now = [&] { return seen().now && seen().now->step == StepId("bake") && seen().now->in_hand; };
  CHECK(seen().cut.empty());
  SECTION("in its run") {
    const std::string line = hand.write(Kind::away, 0, "", "oven", 3600, "the fuse blew");
    REQUIRE(seen().cut.size() == 1);
    CHECK(seen().cut[0].step == StepId("bake"));
    CHECK(seen().cut[0].units == std::vector<int>{1});
    hand.seconds += 20 * 60;
    CHECK_FALSE(bake_is_now());
    hand.seconds += 3600;  // it is back
    CHECK(seen().cut.size() == 1);
    CHECK_FALSE(bake_is_now());
    SECTION("it is done again") {
      CHECK(hand.ask(Kind::rework, 1, "bake", "", {}, "cut").empty());
      hand.write(Kind::rework, 1, "bake", "", {}, "cut");
      CHECK(seen().cut.empty());
    }
    SECTION("or it was another fuse") {
      hand.strike(line, "wrong");
      CHECK(seen().cut.empty());
      CHECK(bake_is_now());
    }
  }
  SECTION("a table is no oven") {
    resource(hand, "oven").warm_up = Duration(0);
    hand.write(Kind::away, 0, "", "oven", 3600, "somebody else is at it");
    CHECK(seen().cut.empty());
  }
  SECTION("after its run") {
    hand.seconds += 9 * 60;
    hand.write(Kind::away, 0, "", "oven", 3600, "the fuse blew");
    CHECK(seen().cut.empty());
    CHECK(bake_is_now());
  }
}
