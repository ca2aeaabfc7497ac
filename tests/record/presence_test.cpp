#include <catch2/catch.hpp>

#include <algorithm>

#include "record/bench_hand.h"
#include "record/follow.h"
#include "record/presence.h"

using namespace handlot::record;
using handlot::Duration;
using handlot::ResourceId;
using handlot::StepId;
using handlot::hours;
using handlot::minutes;
using sample::Hand;

namespace {

handlot::plan::Step& step(Hand& hand, const char* id) {
  auto& all = hand.plan.work.steps;
  return *std::find_if(all.begin(), all.end(), [&](const auto& s) { return s.id == StepId(id); });
}

/// The shop is open for nine hours of two days; the helper is there for the last three of each (from 15:00 by its clock).
Hand with_helper() {
  Hand hand(1);
  auto& work = hand.plan.work;
  const auto open = work.start;
  work.hours = {{open, open + hours(9)}, {open + hours(24), open + hours(33)}};
  handlot::plan::Resource helper;
  helper.id = ResourceId("helper");
  helper.name = "Helper";
  helper.kind = handlot::plan::Resource::Kind::person;
  helper.away = {{open, open + hours(6)}, {open + hours(24), open + hours(30)}};
  work.resources.push_back(helper);
  return hand;
}

void only_the_helper(Hand& hand, const char* id) { step(hand, id).timing.people = {ResourceId("helper")}; }

View seen(const Hand& hand) { return look(hand.plan, hand.state(), hand.now()); }

bool is_now(const Hand& hand, const char* id) {
  const View view = seen(hand);
  return view.now && view.now->step == StepId(id);
}

const Task* next_of(const View& view, const char* id) {
  const auto at = std::find_if(view.next.begin(), view.next.end(), [&](const Task& t) { return t.step == StepId(id); });
  return at == view.next.end() ? nullptr : &*at;
}

}  // namespace

TEST_CASE("a step that only an absent person may do waits for them, and says when they are back", "[record][look][presence]") {
  Hand hand = with_helper();
  hand.done(0, "verify");
  CHECK(is_now(hand, "solder"));
  only_the_helper(hand, "solder");
  const View view = seen(hand);
  CHECK((!view.now || view.now->step != StepId("solder")));
  const Task* solder = next_of(view, "solder");
  REQUIRE(solder);
  CHECK_FALSE(solder->ready);
  REQUIRE(solder->obstacles.size() == 1);
  CHECK(solder->obstacles[0].text == "it waits for Helper, who is back Thu 19 Nov 15:00");
  CHECK(solder->ready_in_s == Approx(6 * 3600 - 60));
  CHECK(hand.ask(Kind::start, 1, "solder").empty());  // who came all the same begins it without a word
  SECTION("once they are there") {
    hand.seconds = 6 * 3600;
    CHECK(is_now(hand, "solder"));
  }
  SECTION("who stayed in the evening, and who comes before the shop opens, is there") {
    hand.seconds = 10 * 3600;
    CHECK(is_now(hand, "solder"));
    hand.plan.work.resources.back().away[1] = {hand.plan.work.start + hours(27), hand.plan.work.start + hours(33)};
    hand.plan.work.resources.back().away[0] = {hand.plan.work.start + hours(3), hand.plan.work.start + hours(9)};
    CHECK(is_now(hand, "solder"));
    hand.plan.work.resources.back().away[1] = {hand.plan.work.start + hours(24), hand.plan.work.start + hours(30)};
    CHECK_FALSE(is_now(hand, "solder"));
    CHECK(absent(hand.plan, hand.state(), step(hand, "solder"), hand.now())->text == "it waits for Helper, who is back Fri 20 Nov 15:00");
  }
  SECTION("not where others may do it, where nobody is named, or where it needs no hands") {
    step(hand, "solder").timing.people.push_back(ResourceId("builder"));
    CHECK(is_now(hand, "solder"));
    step(hand, "solder").timing.people.clear();
    CHECK(is_now(hand, "solder"));
    only_the_helper(hand, "solder");
    step(hand, "solder").timing.hands_on = false;
    CHECK(is_now(hand, "solder"));
  }
  SECTION("past the hours that are known nobody is away") {
    hand.seconds = 40 * 3600;
    CHECK(is_now(hand, "solder"));
  }
}

TEST_CASE("who is reported away is waited for where nobody else may do it", "[record][look][presence][away]") {
  Hand hand = with_helper();
  hand.plan.work.resources.back().away.clear();
  hand.done(0, "verify");
  only_the_helper(hand, "solder");
  CHECK(is_now(hand, "solder"));
  const std::string line = hand.write(Kind::away, 0, "", "helper", 10 * 3600.0);
  CHECK_FALSE(is_now(hand, "solder"));
  CHECK(absent(hand.plan, hand.state(), step(hand, "solder"), hand.now())->text == "it waits for Helper, who is back Fri 20 Nov 09:00");
  hand.strike(line, "back");
  CHECK(is_now(hand, "solder"));
}

TEST_CASE("no clock is started whose end only an absent person can do", "[record][look][presence]") {
  Hand hand = with_helper();
  for (const char* id : {"verify", "mix"}) hand.done(0, id);
  for (const char* id : {"solder", "test", "glue"}) hand.done(1, id);
  hand.seconds += 1800;
  CHECK(is_now(hand, "oil"));
  only_the_helper(hand, "bake");  // within 2 h of the oil
  View view = seen(hand);
  CHECK((!view.now || view.now->step != StepId("oil")));
  const Task* oil = next_of(view, "oil");
  REQUIRE(oil);
  CHECK(oil->better_later == "step 70 (Warm the case) must follow within 2 h, and cannot yet: it waits for Helper, who is back Thu 19 Nov 15:00");
  hand.seconds = 5 * 3600;  // half an hour to spare
  CHECK(is_now(hand, "oil"));
  SECTION("nor one that runs on past their leaving") {
    hand.seconds = 9 * 3600 - 10 * 60;
    view = seen(hand);
    CHECK((!view.now || view.now->step != StepId("oil")));
    hand.plan.work.hours[0].close = hand.plan.work.start + hours(12);
    hand.plan.work.resources.back().away.insert(hand.plan.work.resources.back().away.begin() + 1, {hand.plan.work.start + hours(9), hand.plan.work.start + hours(12)});
    view = seen(hand);
    REQUIRE(next_of(view, "oil"));
    CHECK(next_of(view, "oil")->better_later == "step 70 (Warm the case) must follow within 2 h, and the hands do not get through it in the hours of Helper");
  }
}

TEST_CASE("who leaves before the hands are through is named", "[record][look][presence]") {
  Hand hand = with_helper();
  hand.plan.work.resources.back().away[0] = {hand.plan.work.start + hours(3), hand.plan.work.start + hours(9)};
  hand.seconds = 3 * 3600 - 100;
  Follow follow(hand.plan, hand.state(), hand.now());
  CHECK_FALSE(follow.shuts_before(step(hand, "solder"), 1));
  only_the_helper(hand, "solder");
  Follow own(hand.plan, hand.state(), hand.now());
  CHECK(own.shuts_before(step(hand, "solder"), 1) == Approx(100));
  CHECK(own.what_shuts(step(hand, "solder")) == "Helper leaves");
  CHECK(own.what_shuts(step(hand, "test")) == "the shop shuts");
}

TEST_CASE("what somebody left half done waits for them, and the others go on", "[record][look][presence]") {
  Hand hand = with_helper();
  hand.plan.work.hours = {{hand.plan.work.start, hand.plan.work.start + hours(11)}, {hand.plan.work.start + hours(24), hand.plan.work.start + hours(35)}};
  only_the_helper(hand, "solder");  // 6 min
  hand.plan.waits.clear();  // the epoxy may be mixed before
  hand.plan.work.resources.back().away = {{hand.plan.work.start, hand.plan.work.start + hours(6)}, {hand.plan.work.start + hours(9), hand.plan.work.start + hours(30)}};
  hand.done(0, "verify");
  hand.seconds = 9 * 3600 - 120;
  hand.write(Kind::start, 1, "solder");
  CHECK(is_now(hand, "solder"));
  hand.seconds = 9 * 3600 + 120;  // they end what they are at
  CHECK(is_now(hand, "solder"));
  hand.seconds = 9 * 3600 + 600;
  const View view = seen(hand);
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("mix"));
  REQUIRE_FALSE(view.next.empty());
  CHECK(view.next[0].step == StepId("solder"));
  CHECK(view.next[0].in_hand);
  CHECK_FALSE(view.next[0].ready);
  CHECK(view.next[0].obstacles[0].text == "it waits for Helper, who is back Fri 20 Nov 15:00");
  hand.seconds = 30 * 3600;
  CHECK(is_now(hand, "solder"));
}
