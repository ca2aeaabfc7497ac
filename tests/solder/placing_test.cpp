#include "solder/placing.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>

#include "solder/hand.h"
#include "solder/places_on_paste.h"
#include "solder/second_side.h"

using namespace handlot;
using namespace handlot::literals;
using namespace handlot::solder;

namespace {

Placement part(std::string name, std::string bag, double x, double y, double l, double w, double h,
               int pins = 2) {
  Placement p;
  p.part = std::move(name), p.bag = bag, p.value = bag;
  p.centre = {x, y};
  p.length = Millimetres(l), p.width = Millimetres(w), p.height = Millimetres(h);
  p.pins = pins;
  return p;
}

std::vector<Placement> board() {
  std::vector<Placement> all;
  for (int i = 0; i < 12; ++i)
    all.push_back(
        part("R" + std::to_string(i + 1), "10k", 4 + 7 * (i % 4), 5 + 8 * ((i * 7) % 3), 1.6, 0.8, 0.45));
  for (int i = 0; i < 4; ++i)
    all.push_back(part("C" + std::to_string(i + 1), "100n", 8 + 7 * i, 10, 2.0, 1.25, 1.25));
  for (int i = 0; i < 3; ++i) {
    all.push_back(part("D" + std::to_string(i + 1), "led-red", 30, 4 + 8 * i, 1.6, 0.8, 0.6));
    all.back().polarised = true, all.back().mark = "cathode bar", all.back().turned = Degrees(90.0 * i);
  }
  all.push_back(part("U1", "controller", 16, 15, 7, 7, 1.4, 32));
  all.back().pitch = Millimetres(0.8), all.back().polarised = true, all.back().mark = "pin 1 dot";
  all.push_back(part("L1", "coil", 26, 20, 6, 6, 4.5));
  return all;
}

double travel(const std::vector<Placement>& parts, const std::vector<std::size_t>& row) {
  double sum = 0;
  for (std::size_t i = 0; i + 1 < row.size(); ++i)
    sum += std::hypot(parts[row[i]].centre.x - parts[row[i + 1]].centre.x,
                      parts[row[i]].centre.y - parts[row[i + 1]].centre.y);
  return sum;
}

}  // namespace

TEST_CASE("bags are placed low and small first, unless access says otherwise", "[solder]") {
  const auto plan = plan_placing(board()).value();
  std::vector<std::string> order;
  for (const PlacingGroup& g : plan.groups) order.push_back(g.bag);
  CHECK(order == std::vector<std::string>{"10k", "led-red", "100n", "controller", "coil"});
  CHECK(plan.groups[0].order.size() == 12);
  const auto other =
      plan_placing(board(), {}, {{"10k", "coil", "the coil hides them from the left"}}).value();
  CHECK(other.groups.back().bag == "10k");
  CHECK(other.groups.back().why == "after coil: the coil hides them from the left");
  CHECK(plan_placing(board(), {}, {{"10k", "coil", ""}, {"coil", "10k", ""}}).error().front().code ==
        "placing-cycle");
  CHECK(plan_placing(board(), {}, {{"10k", "nuts", ""}}).error().front().code == "placing-unknown-bag");
}

TEST_CASE("every part is placed once, near neighbours in a row", "[solder][twin]") {
  const auto parts = board();
  const auto plan = plan_placing(parts).value();
  std::vector<std::size_t> all;
  for (const PlacingGroup& g : plan.groups) all.insert(all.end(), g.order.begin(), g.order.end());
  std::sort(all.begin(), all.end());
  for (std::size_t i = 0; i < parts.size(); ++i) CHECK(all[i] == i);
  // Twin: the shortest row of seven parts, by trying all, with the same first part.
  unsigned seed = 1;
  for (int round = 0; round < 20; ++round) {
    std::vector<Placement> few;
    for (int i = 0; i < 7; ++i) {
      seed = seed * 1664525u + 1013904223u;
      few.push_back(
          part("R" + std::to_string(i), "10k", (seed >> 8) % 50, (seed >> 16) % 40, 1.6, 0.8, 0.45));
    }
    const auto row = plan_placing(few)->groups[0].order;
    std::vector<std::size_t> rest(row.begin() + 1, row.end());
    std::sort(rest.begin(), rest.end());
    double best = 1e9;
    do {
      std::vector<std::size_t> tried{row[0]};
      tried.insert(tried.end(), rest.begin(), rest.end());
      best = std::min(best, travel(few, tried));
    } while (std::next_permutation(rest.begin(), rest.end()));
    CHECK(travel(few, row) <= best * 1.25);
  }
}

TEST_CASE("placing time comes from the record where there is one", "[solder]") {
  const auto parts = board();
  const auto plan = plan_placing(parts).value();
  CHECK(plan.groups[0].time.value == 20 + 15 + 11 * 8);
  CHECK(plan.groups[3].time.value == 20 + 45);
  CHECK(plan.notes.size() == 1);
  PlacingTimes mine;
  mine.recorded = {{"10k", Seconds(5)}};
  const auto known = plan_placing(parts, mine).value();
  CHECK(known.groups[0].time.value == 20 + 12 * 5);
  CHECK(known.groups[0].from_record);
}

TEST_CASE("boards at once are as many as the paste allows, by a plain count", "[solder][twin]") {
  for (const int lot : {1, 3, 10, 20}) {
    for (const double print : {60.0, 180.0}) {
      for (const double place : {300.0, 900.0}) {
        for (const int places : {1, 2, 6}) {
          for (const double limit : {600.0, 3600.0, 4 * 3600.0}) {
            // Second by second: one hand prints all, places all; the oven takes what is ready when it is full
            // or all are placed.
            int best = 0;
            for (int k = 1; k <= lot; ++k) {
              std::vector<double> printed, placed;
              double t = 0;
              for (int i = 0; i < k; ++i) printed.push_back(t += print);
              for (int i = 0; i < k; ++i) placed.push_back(t += place);
              double free = 0, oldest = 0;
              for (int i = 0; i < k; i += places) {
                const int last = std::min(k, i + places) - 1;
                const double start = std::max(free, placed[static_cast<std::size_t>(last)]);
                for (int b = i; b <= last; ++b)
                  oldest = std::max(oldest, start - printed[static_cast<std::size_t>(b)]);
                free = start + 400;
              }
              if (oldest > limit) break;
              best = k;
            }
            CHECK(boards_at_once(lot, Seconds(print), Seconds(place), 400_s, places, Seconds(limit)).boards ==
                  best);
          }
        }
      }
    }
  }
  const BoardsAtOnce b = boards_at_once(10, 120_s, 900_s, 480_s, 2, Seconds(3600));
  CHECK(b.text ==
        "print 3 boards at once: with 4 the oldest print would be 1 h 2 min old in front of the oven, the "
        "paste allows 1 h");
  CHECK(boards_at_once(5, 60_s, 3000_s, 400_s, 1, Seconds(600)).text ==
        "not even one board can be placed in time: it takes 50 min and the paste allows 10 min");
  // A shorter tack time asks for fewer.
  CHECK(boards_at_once(10, 120_s, 900_s, 480_s, 2, Seconds(4 * 3600), Seconds(2000)).boards == 2);
}

TEST_CASE("the placing picture shows one bag, numbered, with its marks, the same bytes twice", "[solder]") {
  const auto parts = board();
  const auto plan = plan_placing(parts).value();
  BoardPicture b;
  b.outline = {{0, 0}, {34, 0}, {34, 25}, {0, 25}};
  const std::string svg = placing_picture(parts, plan, 1, b);
  CHECK(svg == placing_picture(parts, plan, 1, b));
  CHECK(svg.find("2. 3 x led-red from bag led-red") != std::string::npos);
  CHECK(svg.find("do not turn: dot and bar stand where the part shows its cathode bar") != std::string::npos);
  CHECK(svg.find("1 D") != std::string::npos);
  CHECK(svg.find("R1<") == std::string::npos);  // other bags are not named
  std::ofstream(HANDLOT_BUILD "/placing.svg") << svg;
  b.bottom = true;
  CHECK(placing_picture(parts, plan, 0, b).find("seen from below") != std::string::npos);
}

TEST_CASE("what hangs under the second side holds, may fall, or is undecided", "[solder]") {
  using Kind = SecondSideAnswer::Kind;
  std::vector<HangingPart> parts(6);
  parts[0] = {"R1", Grams(0.002), SquareMillimetres(0.96), false, {}, 217_degC};
  parts[1] = {"L1", Grams(1.5), SquareMillimetres(12), false, {}, 217_degC};
  parts[2] = {"J1", {}, SquareMillimetres(12), false, {}, 217_degC};
  parts[3] = {"L2", Grams(1.5), SquareMillimetres(12), true, {}, 217_degC};
  parts[4] = {"S1", Grams(0.1), SquareMillimetres(4), false, 1, 217_degC};
  parts[5] = {"U1", Grams(1.5), SquareMillimetres(12), false, {}, 217_degC};
  const auto all = second_side(parts, 245_degC);
  CHECK(all[0].kind == Kind::holds);
  CHECK(all[1].kind == Kind::may_fall);
  CHECK(all[2].kind == Kind::undecided);
  CHECK(all[3].kind == Kind::glued);
  CHECK(all[4].kind == Kind::too_many_heatings);
  CHECK(second_side({parts[5]}, 170_degC)[0].kind ==
        Kind::stays_solid);  // low-temperature paste on the other side
  CHECK(hanging_limit_g_per_mm2() == Approx(0.0465).margin(5e-5));
  CHECK(all[1].text ==
        "L1 melts again and hangs by 125 mg/mm2 of joint, over the limit of 46.5: glue it, or reflow this "
        "side last");
}

TEST_CASE("hand soldering goes low first, shields what bears less, and keeps parts out of the oven",
          "[solder]") {
  const std::vector<HandPart> parts{{"J1", {0, 0}, Millimetres(8), 120_degC, {}, true},
                                    {"SW1", {20, 0}, Millimetres(4), {}, {}, true},
                                    {"E1", {3, 0}, Millimetres(2), 105_degC, {}, false},
                                    {"R1", {1, 1}, Millimetres(0.5), 260_degC, {}, false},
                                    {"X1", {50, 0}, Millimetres(1), {}, {}, false}};
  const HandPlan plan = plan_hand(parts, 245_degC, 380_degC);
  REQUIRE(plan.steps.size() == 2);
  CHECK(plan.steps[0].part == "SW1");
  CHECK(plan.steps[1].shield == std::vector<std::string>{"E1", "R1"});
  CHECK(plan.not_in_oven == std::vector<std::string>{"E1"});
  CHECK(plan.undecided.size() == 2);
  // circuitnet.com/experts/40069: 700 to 750 degF; 39991: 600 to 700 degF.
  CHECK(iron_setting(true, JointKind::surface).low.value == Approx((700 - 32) / 1.8).margin(0.5));
  CHECK(iron_setting(true, JointKind::surface).high.value == Approx((750 - 32) / 1.8).margin(0.5));
  CHECK(iron_setting(false, JointKind::through_hole).low.value == Approx((600 - 32) / 1.8).margin(0.6));
  CHECK(iron_setting(false, JointKind::through_hole).dwell_high.value == 6);
}

TEST_CASE("cleaning is asked for where residue matters", "[solder]") {
  CHECK_FALSE(plan_cleaning(Flux::no_clean, false).needed);
  CHECK(plan_cleaning(Flux::no_clean, true).needed);
  const CleaningPlan water = plan_cleaning(Flux::water_soluble, false);
  REQUIRE(water.lags.size() == 2);
  CHECK(water.lags[0].at_most == hours(8));
  CHECK(water.lags[1].at_least == hours(1));
}

TEST_CASE("parts of unknown height come after those that are known, small first", "[solder]") {
  const std::vector<Placement> parts{part("U1", "many legs", 0, 0, 1.6, 0.8, 0, 16), part("U2", "few legs", 5, 0, 1.6, 0.8, 0), part("R1", "10k", 9, 0, 1.6, 0.8, 0.45), part("L1", "coil", 9, 9, 6, 6, 4.5)};
  const auto plan = plan_placing(parts).value();
  std::vector<std::string> order;
  for (const PlacingGroup& g : plan.groups) order.push_back(g.bag);
  CHECK(order == std::vector<std::string>{"10k", "coil", "few legs", "many legs"});
  CHECK(plan.groups[0].why == "low and small first: 0.45 mm high");
  CHECK(plan.groups[2].why == "its height is not known: after those that are, small first");
}

namespace {

Opening pad_at(double x, double y, double l, double w, std::string name) {
  Opening o;
  o.centre = {x, y};
  o.low = {x - l / 2, y - w / 2}, o.high = {x + l / 2, y + w / 2};
  o.length = Millimetres(l), o.width = Millimetres(w), o.area = SquareMillimetres(l * w);
  o.component = std::move(name);
  return o;
}

/// Eight chips and a controller with leads on four sides; `named`: with the names of the parts.
struct PastedBoard {
  std::vector<Placement> parts;
  Layer paste;
  explicit PastedBoard(bool named) {
    const std::vector<Point> chips{{4, 5}, {9, 6}, {15, 4}, {22, 7}, {6, 14}, {12, 17}, {24, 15}, {19, 20}};
    for (std::size_t i = 0; i < chips.size(); ++i) {
      const std::string name = "R" + std::to_string(i + 1);
      parts.push_back(part(name, "10k", chips[i].x, chips[i].y, 1.6, 0.8, 0.45));
      for (const double side : {-0.8, 0.8}) paste.openings.push_back(pad_at(chips[i].x + side, chips[i].y, 0.8, 0.9, named ? name : ""));
    }
    parts.push_back(part("U1", "controller", 17, 12, 4, 4, 1, 16));
    for (int i = 0; i < 4; ++i) {
      for (const double side : {-2.0, 2.0}) {
        paste.openings.push_back(pad_at(16.25 + 0.5 * i, 12 + side, 0.25, 0.8, named ? "U1" : ""));
        paste.openings.push_back(pad_at(17 + side, 11.25 + 0.5 * i, 0.8, 0.25, named ? "U1" : ""));
      }
    }
  }
  std::vector<PlacesFault> read_as(double xx, double xy, double yx, double yy, double dx = 0, double dy = 0) const {
    std::vector<Placement> moved = parts;
    for (Placement& p : moved) p.centre = {xx * p.centre.x + xy * p.centre.y + dx, yx * p.centre.x + yy * p.centre.y + dy};
    return places_on_paste(moved, paste);
  }
};

}  // namespace

TEST_CASE("a list that is mirrored, swapped or in another unit than its paste layer is told of", "[solder]") {
  for (const bool named : {false, true}) {
    CAPTURE(named);
    const PastedBoard board(named);
    CHECK(board.read_as(1, 0, 0, 1).empty());
    CHECK(board.read_as(1, 0, 0, 1, 100, -60).empty());   // another origin
    CHECK(board.read_as(-1, 0, 0, -1, 30, 0).empty());    // the board turned in its panel
    CHECK(board.read_as(0, -1, 1, 0, 5, 5).empty());
    const auto cause = [&](const std::vector<PlacesFault>& faults) { return faults.size() == 1 ? faults[0].text.substr(faults[0].text.find("where ") + 6) : std::to_string(faults.size()); };
    CHECK(cause(board.read_as(-1, 0, 0, 1)) == "x counts the other way: the list is mirrored left to right");
    CHECK(cause(board.read_as(-1, 0, 0, 1, 30)) == "x counts the other way: the list is mirrored left to right");
    CHECK(cause(board.read_as(1, 0, 0, -1)) == "y counts the other way: the list is mirrored top to bottom");
    CHECK(cause(board.read_as(0, 1, 1, 0)) == "x and y are swapped");
    // Without names, so small a list may lie over middles by chance.
    if (named) CHECK(cause(board.read_as(1 / 25.4, 0, 0, 1 / 25.4)) == "they are inches that are read as millimetres");
    CHECK(PastedBoard(named).read_as(1, 1, 0, 1).empty() == !named);  // of another board: what has no names is not judged
  }
}

TEST_CASE("a part that lies beside or over other openings than its own is named where they have names", "[solder]") {
  PastedBoard board(true);
  board.parts.back().centre = {22, 12};
  const auto beside = board.read_as(1, 0, 0, 1);
  REQUIRE(beside.size() == 1);
  CHECK(beside[0].text == "U1 of the placement list lies beside the stencil openings of that name, and the other parts fit");
  std::swap(board.parts[0].centre, board.parts.back().centre);
  board.parts[0].centre = {17, 12};
  board.parts.back().centre = {4, 5};
  const auto over = board.read_as(1, 0, 0, 1);
  REQUIRE(over.size() == 1);
  CHECK(over[0].text == "R1 and U1 of the placement list lie over stencil openings of another part, and the other parts fit");
  // A connector whose origin lies before its pads is right as it is, and so is a part without paste.
  PastedBoard other(true);
  other.parts.push_back(part("J1", "socket", 30, 10, 8, 7, 3));
  for (const double y : {8.0, 9.0, 10.5}) other.paste.openings.push_back(pad_at(35, y, 1, 0.4, "J1"));
  other.parts.push_back(part("H1", "header", 30, 20, 8, 2, 3));
  CHECK(other.read_as(1, 0, 0, 1).empty());
}
