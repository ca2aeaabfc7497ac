#include <catch2/catch.hpp>

#include "record/bench_hand.h"
#include "record/meant.h"
#include "record/report.h"

using namespace handlot::record;
using handlot::StepId;
using sample::Hand;

namespace {

/// The builder strikes the pass through that `id` is of, and says of which unit it was.
handlot::Diagnostics other_unit(Hand& hand, const std::string& id, int unit) {
  const auto pass = pass_of(hand.lines, hand.state().struck, id);
  for (const Event& line : pass) hand.strike(line.id, "it was another unit");
  handlot::Diagnostics against;
  for (Event line : pass) {
    line.target = line.id;
    line.id = fmt::format("other-{:04}", hand.lines.size() + 1);
    line.seq = static_cast<std::int64_t>(hand.lines.size()) + 1;
    line.unit = unit;
    line.at = hand.stamp();
    const auto refused = hand.ask(line);
    against.insert(against.end(), refused.begin(), refused.end());
    hand.lines.push_back(line);
  }
  return against;
}

Stand stand(const Hand& hand, const char* step, int unit) {
  const State state = hand.state();
  const Cell* cell = cell_of(state, *find_step(hand.plan, StepId(step)), unit);
  return cell ? cell->stand : Stand::open;
}

const Timer* timer_of(const std::vector<Timer>& all, const char* from, int unit) {
  const auto found = std::find_if(all.begin(), all.end(), [&](const Timer& t) { return t.from.text == from && std::count(t.units.begin(), t.units.end(), unit); });
  return found == all.end() ? nullptr : &*found;
}

}  // namespace

TEST_CASE("a clock that was begun at the wrong unit runs for the right one from then", "[record][correct]") {
  Hand hand(3);
  hand.done(1, "glue");
  hand.done(2, "glue");
  hand.seconds = 3600;
  hand.done(1, "oil");
  const std::string done = hand.lines.back().id;
  hand.seconds += 7 * 60;
  CHECK(other_unit(hand, done, 2).empty());
  CHECK(stand(hand, "oil", 1) == Stand::open);
  CHECK(stand(hand, "oil", 2) == Stand::done);
  const auto running = timers(hand.plan, hand.state(), hand.now());
  CHECK(timer_of(running, "oil", 1) == nullptr);
  REQUIRE(timer_of(running, "oil", 2) != nullptr);
  CHECK(timer_of(running, "oil", 2)->gone_least_s == 7 * 60);
  CHECK(timer_of(running, "oil", 2)->gone_most_s == 7 * 60);
  SECTION("and back again, when that was wrong") {
    CHECK(other_unit(hand, hand.lines.back().id, 1).empty());
    CHECK(stand(hand, "oil", 2) == Stand::open);
    CHECK(timer_of(timers(hand.plan, hand.state(), hand.now()), "oil", 1)->gone_least_s == 7 * 60);
  }
  SECTION("line by line as at once") {
    Ledgerbook book(hand.plan);
    for (const auto& line : hand.lines) book.add(line);
    CHECK(book.state() == hand.state());
  }
  SECTION("struck through it counts for nobody") {
    hand.strike(hand.lines.back().id, "nothing was done");
    CHECK(stand(hand, "oil", 2) == Stand::started);
    CHECK(stand(hand, "oil", 1) == Stand::open);
  }
}

TEST_CASE("values go with the pass, and what another pass wrote stays", "[record][correct]") {
  Hand hand(2);
  hand.plan.work.constraints.clear();
  hand.write(Kind::start, 1, "test");
  hand.write(Kind::value, 1, "test", "current", 20);
  hand.write(Kind::tick, 1, "test", "lit");
  const std::string first = hand.write(Kind::done, 1, "test");
  hand.write(Kind::rework, 1, "test", "", {}, "bad contact");
  hand.write(Kind::start, 1, "test");
  hand.write(Kind::value, 1, "test", "current", 21);
  hand.write(Kind::tick, 1, "test", "lit");
  const std::string second = hand.write(Kind::done, 1, "test");
  CHECK(pass_of(hand.lines, {}, first).size() == 4);
  CHECK(pass_of(hand.lines, {}, second).front().seq == 6);
  CHECK(other_unit(hand, second, 2).empty());
  CHECK(stand(hand, "test", 1) == Stand::again);
  CHECK(stand(hand, "test", 2) == Stand::done);
  const State state = hand.state();
  CHECK(state.cells.at({StepId("test"), 2}).checks.at("current").value == 21.0);
  CHECK(pass_of(hand.lines, state.struck, second).empty());
}

TEST_CASE("a unit that is through the step already takes no pass of another", "[record][correct]") {
  Hand hand(2);
  hand.plan.work.constraints.clear();
  for (const int n : {1, 2}) hand.done(n, "oil");
  CHECK(sample::says(other_unit(hand, hand.lines.back().id, 1), "unit 1: step 60 (Oil the case) is done already"));
}

TEST_CASE("nothing stands in for a line that counts", "[record][correct]") {
  Hand hand(2);
  hand.plan.work.constraints.clear();
  hand.done(1, "oil");
  Event line = hand.lines.back();
  line.target = line.id;
  line.id = "other-0001";
  line.unit = 2;
  CHECK(sample::says(hand.ask(line), "no such struck line"));
  hand.strike(line.target, "it was unit 2");
  CHECK(hand.ask(line).empty());
  line.kind = Kind::start;
  CHECK(sample::says(hand.ask(line), "no such struck line"));
}
