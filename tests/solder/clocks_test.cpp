#include <catch2/catch.hpp>

#include "core/text.h"
#include "solder/chip.h"
#include "solder/moisture.h"
#include "solder/paste_clock.h"

using namespace handlot;
using namespace handlot::literals;
using namespace handlot::solder;

namespace {

Exposure room(std::int64_t h, double c = 25, double rh = 50) {
  return {Exposure::Kind::room, hours(h), Celsius(c), RelativeHumidity(rh)};
}
Exposure kept(Exposure::Kind kind, std::int64_t h) {
  return {kind, hours(h), {}, {}};
}
std::int64_t left_h(Level level, const std::vector<Exposure>& history) {
  return floor_life_left(level, history).left.value().seconds / 3600;
}
std::vector<std::int64_t> bake_h(Level level, double mm, std::int64_t overdue) {
  std::vector<std::int64_t> all;
  const std::vector<Bake> ways = bakes(level, Millimetres(mm), hours(overdue)).value();
  for (const Bake& b : ways) all.push_back(b.time.seconds / 3600);
  return all;
}
using V = std::vector<std::int64_t>;

}  // namespace

TEST_CASE("G1-G9: floor life and bakes by the tables", "[solder][truth]") {
  // Lookups in J-STD-033 tables as reprinted at eesemi.com/baketables.htm and handbook.dannie.cc:
  // solder-examples G.
  CHECK(left_h(Level::l3, {room(100), room(60)}) == 8);
  CHECK(floor_life_left(Level::l3, {room(100), room(60)}).answer == FloorLifeLeft::Answer::usable);
  const auto g2 = floor_life_left(Level::l3, {room(170)});
  CHECK(g2.answer == FloorLifeLeft::Answer::bake_first);
  CHECK(g2.overdue == hours(2));
  CHECK(bake_h(Level::l3, 1.2, 2) == V{7, 23, 9 * 24});
  CHECK(bake_h(Level::l3, 1.2, 92) == V{9, 33, 13 * 24});
  CHECK(bake_h(Level::l4, 1.8, 28) == V{20, 3 * 24, 28 * 24});
  CHECK(bake_h(Level::l4, 1.8, 78) == V{34, 5 * 24, 47 * 24});
  CHECK(bake_h(Level::l5, 1.8, 2) == V{25, 4 * 24, 35 * 24});
  const auto g7 = floor_life_left(Level::l1, {room(5000, 30, 85)});
  CHECK(g7.answer == FloorLifeLeft::Answer::usable);
  CHECK_FALSE(g7.left.has_value());
  CHECK(left_h(Level::l2a, {room(671)}) == 1);
  const auto g8 = floor_life_left(Level::l2a, {room(672)});
  CHECK(g8.answer == FloorLifeLeft::Answer::bake_first);
  CHECK(g8.left == Duration(0));
  CHECK(floor_life_left(Level::l6, {}).answer == FloorLifeLeft::Answer::bake_first);
}

TEST_CASE("G10: a room outside the table is undecided, not extrapolated", "[solder][truth]") {
  CHECK(floor_life_left(Level::l3, {room(10, 32, 50)}).answer == FloorLifeLeft::Answer::undecided);
  CHECK(floor_life_left(Level::l3, {room(10, 25, 65)}).answer == FloorLifeLeft::Answer::undecided);
  CHECK(floor_life_left(Level::l3, {{Exposure::Kind::room, hours(10), {}, {}}}).answer ==
        FloorLifeLeft::Answer::undecided);
  CHECK(floor_life_left(Level::l3, {room(10, 30, 60)}).answer == FloorLifeLeft::Answer::usable);
}

TEST_CASE("G11: bake before sealing", "[solder][truth]") {
  // J-STD-033D table 4-2 as reprinted at ox3.com/pages/baking.
  CHECK(dry_pack_bake(Level::l3, Millimetres(1.4))->time == hours(16));
  CHECK(dry_pack_bake(Level::l3, Millimetres(1.8))->time == hours(43));
  CHECK(dry_pack_bake(Level::l4, Millimetres(1.8))->time == hours(48));
  CHECK(dry_pack_bake(Level::l1, Millimetres(1.8)).error().front().code == "bake-no-row");
  CHECK(bakes(Level::l3, Millimetres(5), hours(2)).error().front().code == "bake-no-row");
}

TEST_CASE("cabinet and bag pause the clock, a bake starts it anew", "[solder]") {
  CHECK(left_h(Level::l3,
               {room(100), kept(Exposure::Kind::cabinet_5, 500), kept(Exposure::Kind::cabinet_10, 40),
                kept(Exposure::Kind::sealed, 900), room(60)}) == 8);
  CHECK(left_h(Level::l3, {room(500, 40, 90), kept(Exposure::Kind::baked, 9), room(10)}) == 158);
}

TEST_CASE("more exposure is never more life, and a thicker body never bakes shorter", "[solder][property]") {
  for (const Level level : {Level::l2, Level::l2a, Level::l3, Level::l4, Level::l5, Level::l5a}) {
    Duration last = hours(100000);
    for (int h = 0; h < 9000; h += 50) {
      const Duration left = *floor_life_left(level, {room(h)}).left;
      CHECK(left <= last);
      last = left;
    }
    for (const std::int64_t overdue : {10, 100}) {
      V before{0, 0, 0};
      for (const double mm : {1.2, 1.8, 3.0}) {
        if (level == Level::l2 && mm < 1.4) continue;
        const V now = bake_h(level, mm, overdue);
        for (std::size_t i = 0; i < 3; ++i) CHECK(now[i] >= before[i]);
        before = now;
      }
    }
  }
}

TEST_CASE("levels are read as people write them", "[solder]") {
  CHECK(level_named("3") == Level::l3);
  CHECK(level_named("MSL 2a") == Level::l2a);
  CHECK(level_named("5A") == Level::l5a);
  CHECK(level_named("MSL-1") == Level::l1);
  CHECK_FALSE(level_named("7").has_value());
  for (int i = 0; i < 8; ++i) CHECK(level_named(word(static_cast<Level>(i))) == static_cast<Level>(i));
}

TEST_CASE("a moisture clock ends at the oven, or says what is missing", "[solder]") {
  const MoistureClock c = moisture_clock("U3", Level::l3, {room(100)}, 22_degC, 45_RH);
  REQUIRE(c.lags.size() == 1);
  CHECK(c.lags[0].at_most == hours(68));
  CHECK(c.lags[0].text == "U3 (level 3) takes up moisture: 4 d 4 h of 7 d used, 2 d 20 h left");
  CHECK(moisture_clock("U3", Level::l3, {room(200)}, 22_degC, 45_RH).lags[0].from == "part baked");
  CHECK(moisture_clock("R1", Level::l1, {}, {}, {}).lags.empty());
  CHECK(moisture_clock("U3", Level::l3, {}, {}, {}).undecided.size() == 1);
  CHECK(moisture_clock("U3", Level::l3, {}, 31_degC, 45_RH).undecided.size() == 1);
  CHECK(moisture_clock("U9", Level::l6, {kept(Exposure::Kind::baked, 24)}, 22_degC, 45_RH, hours(6))
            .lags[0]
            .at_most == hours(6));
  CHECK(moisture_clock("U9", Level::l6, {}, 22_degC, 45_RH).undecided.size() == 1);
}

TEST_CASE("paste clocks are lags with their source, and what a card leaves out is said", "[solder]") {
  PasteTimes paste;
  paste.name = "the grey paste";
  paste.warm_up = Timed{hours(2), {"maker sheet", "p. 2", Standing::read}};
  paste.on_stencil = Timed{hours(8), {"maker sheet", "p. 2", Standing::read}};
  paste.print_to_oven = Timed{hours(6), {"", "", Standing::practice}};
  paste.room_low = 20_degC, paste.room_high = 26_degC;
  const PasteClocks c = paste_clocks(paste, 29_degC, 50_RH);
  REQUIRE(c.lags.size() == 3);
  CHECK(c.lags[0].from == paste_event::kOutOfCold);
  CHECK(c.lags[0].at_least == hours(2));
  CHECK_FALSE(c.lags[0].at_most.has_value());
  CHECK(c.lags[1].at_most == hours(8));
  CHECK(c.lags[2].text == "printed the grey paste must be melted within 6 h");
  CHECK(c.undecided.size() == 2);
  CHECK(c.notes.size() == 1);
  CHECK(c.handling.size() == 1);
}

TEST_CASE("J1-J5: chip codes in inches and millimetres", "[solder][truth]") {
  // J1: koaglobal.com, resistor marking and sizes. J2: nominal size, not the exact inch.
  const auto metric = chip_size("1608 metric").value();
  CHECK(metric.length.value == 1.6);
  CHECK(metric.width.value == 0.8);
  CHECK(metric.inch == "0603");
  CHECK(chip_size("0402", CodeUnit::inch)->length.value == 1.0);
  CHECK(decode("0402", CodeUnit::inch)->first.value == Approx(1.016).margin(1e-9));
  CHECK(decode("0402", CodeUnit::inch)->second.value == Approx(0.508).margin(1e-9));
  const auto clash = chip_size("0603");
  REQUIRE_FALSE(clash.has_value());
  CHECK(format(clash.error().front()) ==
        "handlot: error: '0603' is 1.6 x 0.8 mm as an inch code and 0.6 x 0.3 mm as a metric code "
        "[chip-code-clash]\n  mend: write '0603 inch' or '0603 metric'\n");
  CHECK(chip_size("0402 metric")->inch == "01005");
  CHECK(chip_size("0402M")->length.value == 0.4);
  CHECK(chip_size("01005")->length.value == 0.4);
  CHECK(chip_size("01005")->width.value == 0.2);
  CHECK(chip_size("R_0805_inch")->metric == "2012");
  CHECK(chip_size("1206")->length.value == 3.2);  // only one system has it
  // The code beside the word is the one it speaks of; two codes of one size leave nothing open.
  for (const char* name : {"R_0603_1608Metric", "R_0603_1608Metric_Pad0.98x0.95mm_HandSolder", "Resistor_SMD:R_0603_1608Metric", "0603 (1608 metric)", "1608 (0603 inch)", "0603/1608", "RESC1608X55N", "1608mm"}) {
    CAPTURE(name);
    REQUIRE(chip_size(name).has_value());
    CHECK(chip_size(name)->inch == "0603");
    CHECK(chip_size(name, CodeUnit::metric)->inch == "0603");
  }
  CHECK(chip_size("R_0402_1005Metric")->inch == "0402");
  CHECK(chip_size("L_0201_0603Metric")->inch == "0201");
  CHECK(chip_size("RESC0603X33N")->inch == "0201");
  CHECK(chip_size("R_2512_6332Metric")->inch == "2512");  // a metric code that our table does not have
  CHECK(chip_size("R_0603_Pad0.98x0.95mm").error().front().code == "chip-code-clash");  // the pad is in mm, not the code
  CHECK(chip_size("R_0603_Pad0.98x0.95mm", CodeUnit::inch)->inch == "0603");
  CHECK(chip_size("9999").error().front().code == "chip-code-unknown");
  CHECK(chip_size("nonsense").error().front().code == "chip-code-unknown");
}

TEST_CASE("the plain rule is near the table, and a body is held against its code", "[solder][twin]") {
  for (const Chip& c : chips()) {
    CAPTURE(c.inch);
    const auto mm = decode(c.metric, CodeUnit::metric).value();
    CHECK(mm.first.value == Approx(c.length.value).margin(0.11));
    CHECK(mm.second.value == Approx(c.width.value).margin(0.11));
    const auto two = decode(c.inch, CodeUnit::inch);
    CHECK(two.has_value() == (c.inch.size() == 4));
    const auto inch = two.value_or(mm);
    CHECK(inch.first.value == Approx(c.length.value).epsilon(0.4));
    CHECK_FALSE(body_against_code(c, c.length, c.width).has_value());
  }
  CHECK(
      body_against_code(chip_size("0603 inch").value(), Millimetres(2.0), Millimetres(1.25)).value() ==
      "a body of 2.00 x 1.25 mm is not 1.6 x 0.8 mm (inch 0603, metric 1608); it is inch 0805, metric 2012");
}
