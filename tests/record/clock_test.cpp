#include <catch2/catch.hpp>

#include "record/bench_hand.h"
#include "record/clock.h"

using namespace handlot::record;
using sample::Hand;

namespace {

constexpr std::int64_t kSecond = 1000;
constexpr std::int64_t kHour = 3600 * kSecond;
constexpr std::int64_t kWall = 1'795'075'200'000;

ClockReading reading(const char* boot, std::int64_t boot_ms, std::int64_t wall_ms) {
  return {boot, boot_ms, kWall + wall_ms};
}

/// The bench as the server runs it: each reading may bring a clock line.
struct Watch {
  Hand hand;
  Chain chain;
  void read(const ClockReading& now) {
    const auto next = chain.follow(now);
    hand.seconds = static_cast<double>(next.at.ran_ms) / 1000;
    hand.boot = now.boot;
    if (next.gap_s) hand.write(Kind::clock, 0, "", "", next.gap_s);
  }
  Timer cure() const {
    for (const Timer& t : timers(hand.plan, hand.state(), hand.now()))
      if (t.to == handlot::StepId("oil")) return t;
    FAIL("no cure is running");
    return {};
  }
};

Watch glued() {
  Watch w;
  w.read(reading("a", 0, 0));
  w.hand.write(Kind::done, 1, "glue");
  return w;
}

}  // namespace

TEST_CASE("a suspended machine goes on counting a cure", "[record][clock]") {
  Watch w = glued();
  w.read(reading("a", 3 * kHour, 3 * kHour));
  CHECK(w.hand.lines.size() == 1);  // no gap: nothing to ask
  CHECK(w.cure().phase == Phase::ready);
  CHECK(w.cure().gone_least_s == Approx(3 * 3600));
}

TEST_CASE("a clock set forward by a day does not end a cure", "[record][clock]") {
  Watch w = glued();
  w.read(reading("a", kSecond, 24 * kHour));
  REQUIRE(w.hand.lines.size() == 2);
  CHECK(w.cure().phase == Phase::doubtful);
  CHECK(w.cure().until_ready_s == Approx(30 * 60 - 1));
  CHECK(open_claim(w.hand.state().gaps).value() == Approx(24 * 3600 - 1));
  CHECK_FALSE(w.hand.ask(Kind::start, 1, "oil").empty());
  SECTION("the builder says the clock was set: the cure goes on") {
    w.hand.write(Kind::settled, 0, "", "", 0.0);
    CHECK(w.cure().phase == Phase::running);
    w.read(reading("a", 31 * 60 * kSecond, 24 * kHour + 31 * 60 * kSecond - kSecond));
    CHECK(w.cure().phase == Phase::ready);
  }
  SECTION("the builder says the time went by: the cure is over") {
    w.hand.write(Kind::settled, 0, "", "", 86399.0);
    CHECK(w.cure().phase == Phase::ready);
  }
  SECTION("set back again: nothing to ask") {
    w.read(reading("a", 2 * kSecond, 2 * kSecond));
    CHECK_FALSE(open_claim(w.hand.state().gaps).has_value());
    CHECK(w.cure().phase == Phase::running);
  }
}

TEST_CASE("a clock set back by an hour makes no cure longer", "[record][clock]") {
  Watch w = glued();
  w.read(reading("a", kSecond, -kHour));
  CHECK(w.hand.lines.size() == 2);
  CHECK_FALSE(open_claim(w.hand.state().gaps).has_value());
  w.read(reading("a", 31 * 60 * kSecond, 31 * 60 * kSecond - kHour));
  CHECK(w.cure().phase == Phase::ready);
}

TEST_CASE("a clock set back while running does not hide a night switched off", "[record][clock]") {
  Watch w = glued();
  w.read(reading("a", kSecond, -kHour));
  w.read(reading("b", 10, 13 * kHour));
  CHECK(open_claim(w.hand.state().gaps).value() == Approx(14 * 3600).margin(2));
}

TEST_CASE("a machine that was off asks once, and a dead clock battery is netted out", "[record][clock]") {
  Watch w = glued();
  w.read(reading("b", 10, -6 * 365 * 24 * kHour));  // wakes in the past
  CHECK_FALSE(open_claim(w.hand.state().gaps).has_value());
  CHECK(w.cure().phase == Phase::running);
  w.read(reading("b", kSecond, 14 * kHour));  // a time server sets it right
  CHECK(open_claim(w.hand.state().gaps).value() == Approx(14 * 3600).margin(2));
  CHECK(w.cure().phase == Phase::doubtful);
}

TEST_CASE("a latest end errs the other way: it is late when the clock says so", "[record][clock]") {
  Watch w;
  w.read(reading("a", 0, 0));
  w.hand.write(Kind::done, 1, "oil");
  w.read(reading("b", 0, 5 * kHour));
  const auto all = timers(w.hand.plan, w.hand.state(), w.hand.now());
  REQUIRE(all.size() == 1);
  CHECK(all[0].phase == Phase::late);
  CHECK_FALSE(all[0].late_for_sure);
  CHECK(all[0].sounds);
}

TEST_CASE("a restart of the program alone loses no time", "[record][clock]") {
  Watch w = glued();
  w.chain = Chain(*w.chain.last());
  w.read(reading("a", 40 * 60 * kSecond, 40 * 60 * kSecond));
  CHECK(w.hand.lines.size() == 1);
  CHECK(w.cure().phase == Phase::ready);
}

TEST_CASE("small corrections of a time server are not worth a line, but they do not add up unseen",
          "[record][clock]") {
  Chain chain;
  double told = 0;
  for (int i = 0; i <= 100; ++i)
    if (const auto gap = chain.follow(reading("a", i * 10 * kSecond, i * 10 * kSecond + i * 100)).gap_s)
      told += *gap;
  CHECK(told == Approx(10).margin(2));
}

TEST_CASE("time never runs backwards and never exceeds what the machine counted",
          "[record][clock][property]") {
  Chain chain;
  std::uint64_t seed = 7;
  const auto random = [&](std::int64_t below) {
    seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
    return static_cast<std::int64_t>((seed >> 33) % static_cast<std::uint64_t>(below));
  };
  std::int64_t boot_ms = 0, counted = 0, last_ran = 0;
  std::string boot = "a";
  chain.follow({boot, 0, kWall});
  for (int i = 0; i < 2000; ++i) {
    if (random(20) == 0) {
      boot += "x";
      boot_ms = random(5000);
    } else {
      const auto step = random(100000);
      boot_ms += step;
      counted += step;
    }
    const auto next = chain.follow({boot, boot_ms, kWall + random(1'000'000'000) - 500'000'000});
    CHECK(next.at.ran_ms >= last_ran);
    CHECK(next.at.ran_ms <= counted);
    last_ran = next.at.ran_ms;
  }
  CHECK(last_ran == counted);
}

namespace {
/// Touched so many seconds before it comes in.
void write_kept(Hand& hand, Kind kind, int unit, const char* step, double age) {
  hand.write(kind, unit, step, "", age);
}
}  // namespace

TEST_CASE("a touch that was kept begins its latest end when it was touched, its cure when it came in",
          "[record][clock][kept]") {
  Hand hand;
  hand.seconds = 3 * 3600;
  write_kept(hand, Kind::done, 1, "oil", 5400);  // warm the case from 15 min on, within 2 h
  hand.seconds += 600;
  auto all = timers(hand.plan, hand.state(), hand.now());
  REQUIRE(all.size() == 1);
  CHECK(all[0].until_ready_s == Approx(5 * 60));
  CHECK(all[0].until_late_s.value() == Approx(7200 - 5400 - 600));
  CHECK_FALSE(hand.ask(Kind::start, 1, "bake").empty());
  hand.seconds += 1201;
  CHECK(timers(hand.plan, hand.state(), hand.now())[0].phase == Phase::late);
  CHECK(in_words(hand.plan, hand.lines[0]) ==
        "unit 1: step 60 (Oil the case) done, touched 1 h 30 min before it came in");
}

TEST_CASE("where both ends were kept, the time between the touches counts", "[record][clock][kept]") {
  Hand hand;
  hand.seconds = 3 * 3600;
  write_kept(hand, Kind::done, 1, "oil", 7000);
  const auto ask = [&](double age) {
    auto now = hand.now();
    now.kept_ms = std::llround(1000 * age);
    return refuse(hand.plan, hand.state(), hand.lines, hand.make(Kind::start, 1, "bake", "", age), now);
  };
  CHECK(ask(6200).size() == 1);  // 800 s of the 15 min
  CHECK(ask(6000).empty());      // 1000 s
  hand.seconds += 300;           // 7300 s since the touch
  CHECK(ask(200).empty());       // in time, and only told of late
  CHECK(ask(50).size() == 1);
}

TEST_CASE("an age takes no more off than there is, and two sendings of one touch are one line", "[record][clock][kept]") {
  const Moment from{1, 1000, 0}, to{2, 5000, 0, 60'000};
  CHECK(elapsed(from, to, {}).least_s == 0);
  CHECK(elapsed(from, to, {}).most_s == 0);
  Hand hand;
  const auto early = hand.make(Kind::done, 1, "oil", "", 300.0), late = hand.make(Kind::done, 1, "oil", "", 303.0);
  CHECK(same_words(early, late));
  CHECK_FALSE(same_words(hand.make(Kind::value, 1, "test", "current", 20.0), hand.make(Kind::value, 1, "test", "current", 21.0)));
}
