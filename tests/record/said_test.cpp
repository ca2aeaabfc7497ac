#include "record/said.h"

#include <catch2/catch.hpp>

#include "record/bench_hand.h"
#include "record/report.h"

using namespace handlot::record;
using handlot::StepId;
using sample::Hand;

namespace {

/// As the bench writes: with what the plan says of the line.
void written(Hand& hand, Kind kind, int unit, const char* step, const char* item = "", std::optional<double> value = {}, const char* text = "") {
  hand.write(kind, unit, step, item, value, text);
  hand.lines.back().said = said_by(hand.plan, hand.lines.back());
}

void begin_record(Hand& hand) {
  written(hand, Kind::plan, 0, "", hand.plan.head.hash.c_str(), {}, "C");
}

std::string deed(const Hand& hand, const char* step) {
  const auto state = hand.state();
  const Report all = report(hand.plan, state);
  for (const auto& d : all.units[0].deeds)
    if (d.step == StepId(step)) return d.words;
  return "";
}

}  // namespace

TEST_CASE("a tick stays with its words when the job file counts its checks anew", "[record][said]") {
  Hand hand;
  auto& checks = hand.plan.work.steps[1].checks;
  checks = {{"c1", "all parts lie on their pads", "", {}, {}, "", false}};
  written(hand, Kind::start, 1, "solder");
  written(hand, Kind::tick, 1, "solder", "c1");
  written(hand, Kind::done, 1, "solder");
  checks = {{"c1", "polarity checked under the glass", "", {}, {}, "", false}, {"c2", "all parts lie on their pads", "", {}, {}, "", false}};
  const auto state = hand.state();
  const Cell* cell = cell_of(state, hand.plan.work.steps[1], 1);
  CHECK(cell->checks.count("c1") == 0);
  CHECK(cell->checks.count("c2") == 1);
  SECTION("a check with an id of its own stays itself, whatever its words") {
    checks = {{"c1", "other words", "", {}, {}, "", false}};
    checks[0].id = hand.lines[1].item = "pads";
    CHECK(cell_of(hand.state(), hand.plan.work.steps[1], 1)->checks.count("pads") == 1);
  }
  SECTION("a check that is gone is told as it was asked") {
    checks.pop_back();
    CHECK(deed(hand, "solder").find("all parts lie on their pads: seen, which the job asks no more") != std::string::npos);
  }
  SECTION("a line of an old record goes by its id") {
    hand.lines[1].said.clear();
    CHECK(cell_of(hand.state(), hand.plan.work.steps[1], 1)->checks.count("c1") == 1);
  }
}

TEST_CASE("a value is judged and told by the limit that it was measured against", "[record][said]") {
  Hand hand;
  written(hand, Kind::start, 1, "test");
  written(hand, Kind::value, 1, "test", "current", 19.0);
  auto& check = hand.plan.work.steps[2].checks[0];
  check.low = 21;
  check.limit = "21 to 22 mA";
  SECTION("done before the limit was changed") {
    written(hand, Kind::done, 1, "test");
    CHECK(deed(hand, "test").find("current at 5.0 V: 19 mA (18 to 22 mA)") != std::string::npos);
    CHECK(deed(hand, "test").find("OUTSIDE") == std::string::npos);
    CHECK(json(report(hand.plan, hand.state()), hand.plan, hand.state(), hand.lines).find("\"limit\": \"18 to 22 mA\"") != std::string::npos);
  }
  SECTION("not done yet: today's limit decides") {
    const auto refused = hand.ask(Kind::done, 1, "test");
    CHECK(std::any_of(refused.begin(), refused.end(), [](const auto& d) { return d.text.find("19 mA is outside 21 to 22 mA") != std::string::npos; }));
  }
  SECTION("an old line has today's limit") {
    hand.lines[1].said.clear();
    CHECK(deed(hand, "test").find("19 mA (21 to 22 mA), OUTSIDE THE LIMITS") != std::string::npos);
  }
}

TEST_CASE("the record of one lot is not carried on by the next", "[record][said][errors]") {
  Hand hand(2);
  begin_record(hand);
  CHECK(hand.state().units[0].revision == "C");
  auto next = hand.plan;
  next.head.serials = {"SL-103", "SL-104"};
  CHECK(other_lot(next, hand.lines).empty());  // nothing was done: a job file that is still being written
  CHECK(is_unnamed(next, hand.lines));
  CHECK_FALSE(is_unnamed(hand.plan, hand.lines));
  written(hand, Kind::done, 2, "solder");
  CHECK(other_lot(hand.plan, hand.lines).empty());
  CHECK_FALSE(is_unnamed(next, hand.lines));
  const auto faults = other_lot(next, hand.lines);
  REQUIRE(faults.size() == 1);
  CHECK(faults[0].code == "record-other-lot");
  CHECK(faults[0].text == "unit 1 is SL-101 in the record, and SL-103 in the job: the job names another lot than its record");
  CHECK(with_serials_of(next, hand.lines).head.serials == hand.plan.head.serials);
  SECTION("one more unit is the same lot, one less than there is work on is not") {
    auto more = hand.plan, less = hand.plan;
    more.head.lot = 3;
    more.head.serials.push_back("SL-103");
    less.head.lot = 1;
    less.head.serials.pop_back();
    CHECK(other_lot(more, hand.lines).empty());
    CHECK(other_lot(less, hand.lines).size() == 1);
  }
  SECTION("another start is another lot where units have no name, or all is done") {
    auto later = hand.plan;
    later.work.start = later.work.start + handlot::hours(24 * 7);
    CHECK(other_lot(later, hand.lines).empty());  // the same names, half built: the plan was moved
    hand.plan.head.serials = later.head.serials = {"1", "2"};
    hand.lines.front().said = said_by(hand.plan, hand.lines.front());
    CHECK(other_lot(later, hand.lines).size() == 1);
  }
  SECTION("a record from before this was kept says nothing") {
    hand.lines.front().said.clear();
    CHECK(other_lot(next, hand.lines).empty());
  }
}

TEST_CASE("a unit has the lots that it saw", "[record][report]") {
  Hand hand(2);
  const auto lots = [&](int unit) {
    std::vector<std::string> out;
    for (const auto& lot : lots_of_unit(hand.plan, hand.state(), hand.lines, unit)) out.push_back(lot.material + " " + lot.lot);
    return out;
  };
  hand.write(Kind::lot_opened, 0, "", "epoxy-30min", {}, "A");
  hand.done(1, "glue");
  const auto wrong = hand.write(Kind::lot_opened, 0, "", "epoxy-30min", {}, "X");
  hand.strike(wrong, "read from the wrong tube");
  hand.write(Kind::lot_opened, 0, "", "epoxy-30min", {}, "B");
  hand.done(2, "glue");
  hand.write(Kind::lot_opened, 0, "", "epoxy-30min", {}, "C");
  CHECK(lots(1) == std::vector<std::string>{"epoxy, 30 min A"});
  CHECK(lots(2) == std::vector<std::string>{"epoxy, 30 min B"});
  hand.write(Kind::lot_used, 1, "", "epoxy-30min", 0.1, "C");
  CHECK(lots(1) == std::vector<std::string>{"epoxy, 30 min A", "epoxy, 30 min C"});
}
