#include <catch2/catch.hpp>

#include "bench/difference.h"
#include "bench/html.h"
#include "bench/intake.h"
#include "bench/photos.h"
#include "bench/page.h"
#include "record/bench_hand.h"
#include "record/meant.h"

using namespace handlot;
using namespace handlot::bench;

namespace {
Request form_of(std::map<std::string, std::string> fields) {
  Request r;
  r.method = "POST";
  r.path = "/do";
  r.fields = std::move(fields);
  return r;
}
}  // namespace

TEST_CASE("one touch for several units gives a line for each", "[bench][intake]") {
  sample::Hand hand;
  const auto lines =
      lines_of_form(form_of({{"id", "touch-0001"}, {"act", "start"}, {"step", "glue"}, {"units", "1-2,4"}}),
                    "phone", hand.state(), {});
  REQUIRE(lines);
  REQUIRE(lines->size() == 3);
  CHECK((*lines)[2].id == "touch-0001.3");
  CHECK((*lines)[2].unit == 4);
  CHECK((*lines)[0].screen == "phone");
}

TEST_CASE("undo strikes every line of the touch", "[bench][intake]") {
  sample::Hand hand;
  auto lines =
      *lines_of_form(form_of({{"id", "touch-0001"}, {"act", "start"}, {"step", "glue"}, {"units", "1-3"}}),
                     "", hand.state(), {});
  auto undo = lines_of_form(form_of({{"id", "touch-0002"}, {"act", "undo"}, {"target", "touch-0001.3"}}), "",
                            hand.state(), lines);
  REQUIRE(undo);
  CHECK(undo->size() == 3);
  CHECK((*undo)[0].kind == record::Kind::correction);
  CHECK_FALSE(lines_of_form(form_of({{"id", "touch-0002"}, {"act", "undo"}, {"target", "nothing"}}), "",
                            hand.state(), lines));
}

TEST_CASE("what was ticked at the wrong unit is struck through and stands for the right one", "[bench][intake]") {
  sample::Hand hand;
  hand.done(1, "oil");
  const auto oiled = hand.lines.back();
  const auto form = [&](const char* unit, const std::string& target) {
    return lines_of_form(form_of({{"id", "touch-0003"}, {"act", "other-unit"}, {"unit", unit}, {"target", target}, {"text", "mixed up"}}), "phone", hand.state(), hand.lines);
  };
  const auto lines = form("2", oiled.id);
  REQUIRE(lines);
  REQUIRE(lines->size() == 2 * record::pass_of(hand.lines, {}, oiled.id).size());
  CHECK(lines->front().kind == record::Kind::correction);
  CHECK(lines->front().text == "it was unit 2: mixed up");
  CHECK(lines->back().target == oiled.id);
  CHECK(lines->back().unit == 2);
  CHECK(lines->back().kind == record::Kind::done);
  for (const char* unit : {"1", "0", "9", "2,3", ""}) CHECK_FALSE(form(unit, oiled.id));
  CHECK_FALSE(form("2", "nothing"));
  for (auto line : *lines) {
    line.seq = static_cast<std::int64_t>(hand.lines.size()) + 1;
    line.at = hand.stamp();
    hand.lines.push_back(line);
  }
  CHECK(form("2", oiled.id)->size() == lines->size());  // sent twice
}

TEST_CASE("a form cannot write what only the server may", "[bench][intake]") {
  sample::Hand hand;
  for (const char* act : {"clock", "plan", "photo", "nonsense", ""})
    CHECK_FALSE(
        lines_of_form(form_of({{"id", "touch-0001"}, {"act", act}, {"value", "1"}}), "", hand.state(), {}));
  const auto sly =
      lines_of_form(form_of({{"id", "touch-0001"}, {"act", "correct"}, {"item", "undo"}, {"target", "x"}}),
                    "", hand.state(), {});
  REQUIRE(sly);
  CHECK(sly->front().item.empty());
}

TEST_CASE("values are read with either decimal mark, and nothing else is guessed", "[bench][intake]") {
  CHECK(*read_value("20.5") == 20.5);
  CHECK(*read_value(" 0,35 ") == 0.35);
  CHECK(*read_value("-3") == -3);
  CHECK(*read_value("+3") == 3);
  for (const char* bad : {"", "abc", "1.2.3", "1,234.5", "1e3", "inf", "nan", "0x10", "12 mA", "--1"})
    CHECK_FALSE(read_value(bad));
}

TEST_CASE("units are read as people write them", "[bench][intake]") {
  CHECK(*read_units("3", 4) == std::vector<int>{3});
  CHECK(*read_units("1,3-4,3", 4) == std::vector<int>{1, 3, 4});
  for (const char* bad : {"5", "-1", "2-1", "a", "1,", "1-", "1-99999999999"})
    CHECK_FALSE(read_units(bad, 4));
}

TEST_CASE("after a form one stays on this bench", "[bench][intake]") {
  CHECK(safe_back("/lot") == "/lot");
  for (const char* bad :
       {"", "lot", "//evil.example", "/\\evil", "http://evil.example", "/a\r\nSet-Cookie: x=1"})
    CHECK(safe_back(bad) == "/");
}

TEST_CASE("pictures are told by their bytes, not by what is claimed", "[bench][intake]") {
  CHECK(image_type("\xff\xd8\xff\xe0") == "image/jpeg");
  CHECK(image_type(std::string_view("\x89PNG\r\n\x1a\n....", 12)) == "image/png");
  CHECK(image_type("RIFF....WEBPVP8 ") == "image/webp");
  for (const char* bad : {"<svg onload=\"x\">", "GIF89a", "<html>", ""}) CHECK(image_type(bad).empty());
}

TEST_CASE("what people typed cannot become part of the page", "[bench][html]") {
  sample::Hand hand;
  hand.plan.work.steps[1].title = "<script>alert(1)</script>\" onx='";
  hand.write(record::Kind::note, 1, "solder", "", {}, "<img src=x onerror=alert(2)>");
  const auto zone = *calendar::Zone::find("UTC");
  const auto state = hand.state();
  const Glimpse g{hand.plan, state, hand.lines, hand.now()};
  const Desk desk{g, zone, true, "/lot", {}};
  for (const std::string& html : {now_page(desk), lot_page(desk), unit_page(desk, 1), record_page(desk, 0),
                                  plan_page(desk, nullptr, {}, true), unit_print(desk, 1)}) {
    CHECK(html.find("<script>alert") == std::string::npos);
    CHECK(html.find("<img src=x") == std::string::npos);
    CHECK(html.find(" style=") == std::string::npos);
    CHECK(html.find(" onclick") == std::string::npos);
  }
  CHECK(unit_page(desk, 1).find("&lt;img src=x") != std::string::npos);
}

TEST_CASE("a page does not change by itself, but for the ids of its forms", "[bench][html]") {
  sample::Hand hand;
  const auto zone = *calendar::Zone::find("Europe/Paris");
  const auto state = hand.state();
  const Glimpse g{hand.plan, state, hand.lines, hand.now()};
  const Desk desk{g, zone, false, "/", {}};
  CHECK(now_page(desk) == now_page(desk));
  CHECK(
      now_page(desk).find("<button ") ==
      now_page(desk).find("<button type=\"button\" id=\"sound\""));  // who may only look has nothing to press
}

TEST_CASE("a wait across a clock change keeps its length and shows the wall clock right", "[bench][clock]") {
  sample::Hand hand;
  const auto zone = *calendar::Zone::find("Europe/Paris");
  // 2026-10-25 00:30 UTC is 02:30 CEST; thirty minutes later clocks go back: the cure ends at 02:00 CET.
  hand.write(record::Kind::done, 1, "glue");
  hand.lines.back().at.wall_ms = 1792888200000 - 30 * 60 * 1000;
  auto now = hand.now();
  now.wall_ms = hand.lines.back().at.wall_ms;
  const auto state = hand.state();
  const Glimpse g{hand.plan, state, hand.lines, now};
  const Desk desk{g, zone, true, "/waits", {}};
  CHECK(waits_page(desk).find("30 min</strong><span> to go, not before Sun 25 Oct 02:30 CEST") !=
        std::string::npos);
  auto later = now;
  later.ran_ms += 10 * 60 * 1000;
  later.wall_ms += 10 * 60 * 1000;
  const Glimpse g2{hand.plan, state, hand.lines, later};
  const Desk desk2{g2, zone, true, "/waits", {}};
  CHECK(waits_page(desk2).find("20 min</strong><span> to go") != std::string::npos);
  // In spring the hour from 02:00 to 03:00 is not there: 2026-03-29 00:45 UTC is 01:45 CET.
  auto spring = now;
  spring.wall_ms = 1774745100000;
  const Glimpse g3{hand.plan, state, hand.lines, spring};
  const Desk desk3{g3, zone, true, "/waits", {}};
  CHECK(waits_page(desk3).find("30 min</strong><span> to go, not before Sun 29 Mar 03:15") != std::string::npos);
}

namespace {

/// A page of a hand's bench.
std::string page_of(const sample::Hand& hand, const std::string& here) {
  const auto zone = *calendar::Zone::find("UTC");
  const auto state = hand.state();
  const Glimpse g{hand.plan, state, hand.lines, hand.now()};
  const Desk desk{g, zone, true, here, {}};
  return here == "/plan" ? plan_page(desk, nullptr, {}, true) : here == "/record" ? record_page(desk, 0) : now_page(desk);
}

std::size_t count(const std::string& text, const std::string& what) {
  std::size_t n = 0;
  for (auto at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++n;
  return n;
}

}  // namespace

TEST_CASE("what has gone stale is done again with one touch, and no other clock", "[bench][html]") {
  sample::Hand hand;
  auto& oiled = hand.plan.work.constraints[5];
  hand.done(1, "oil");
  hand.seconds += 3 * 3600;
  oiled.reason.kind = plan::ReasonKind::moisture;  // parts that took up water are baked, which is another step
  CHECK(page_of(hand, "/").find("To be done again: step 60") == std::string::npos);
  oiled.if_late = hand.plan.waits[2].if_late = "do 'oil' again: the face does not stay so";
  const auto page = page_of(hand, "/");
  CHECK(page.find("If late: do step 60 (Oil the case) again: the face does not stay so") != std::string::npos);
  CHECK(count(page, "To be done again: step 60 (Oil the case)</button>") == 1);
  CHECK(page.find("<input type=\"hidden\" name=\"act\" value=\"rework\"><input type=\"hidden\" name=\"step\" value=\"oil\"><input type=\"hidden\" name=\"units\" value=\"1\">") != std::string::npos);
}

TEST_CASE("a line of a unit may be given to another unit of the lot, one of the lot may not", "[bench][html]") {
  sample::Hand hand;
  hand.done(0, "mix");
  CHECK(page_of(hand, "/record").find("It was unit") == std::string::npos);
  hand.done(1, "oil");
  CHECK(page_of(hand, "/record").find("<option>2</option><option>3</option><option>4</option>") != std::string::npos);
}

TEST_CASE("what runs already is one line of what is left, however the plan of the rest has it", "[bench][html]") {
  sample::Hand hand;
  auto& ops = hand.plan.schedule.operations;
  const auto pack = ops.back();
  ops.clear();
  for (int n = 1; n <= 4; ++n) {
    ops.push_back(pack);
    ops.back().first_unit = ops.back().last_unit = n;
  }
  CHECK(count(page_of(hand, "/plan"), "<td>whole lot</td>") == 1);
  ops.back().start = ops.back().start + minutes(5);  // unit 4 once more, by itself
  CHECK(count(page_of(hand, "/plan"), "<td>whole lot</td>") == 2);
}

TEST_CASE("who is away is not it, and is back by name", "[bench][html]") {
  sample::Hand hand;
  for (const char* who : {"builder", "oven"}) {
    hand.write(record::Kind::away, 0, "", who, 3600);
    hand.lines.back().step = StepId();
  }
  const auto page = page_of(hand, "/");
  CHECK(page.find("builder is away until") != std::string::npos);
  CHECK(page.find(">builder is back</button>") != std::string::npos);
  CHECK(page.find("oven is not to be had until") != std::string::npos);
  CHECK(page.find(">It is back</button>") != std::string::npos);
}

TEST_CASE("on a closed day Now says when the shop opens, and begins nothing before", "[bench][html]") {
  sample::Hand hand(1);
  hand.plan.work.constraints = {hand.plan.work.constraints[4]};  // glue, 30 min, oil
  hand.plan.work.apart.clear();
  auto& steps = hand.plan.work.steps;
  steps = {steps[4], steps[5]};
  hand.plan.schedule.operations.clear();
  hand.plan.work.hours = {{hand.plan.work.start, hand.plan.work.start + minutes(10)}, {hand.plan.work.start + hours(48), hand.plan.work.start + hours(56)}};
  hand.done(1, "glue");
  hand.seconds = 20 * 60;
  const auto page = page_of(hand, "/");
  CHECK(page.find("By its hours the shop is shut until Sat 21 Nov 08:00") != std::string::npos);
  CHECK(page.find("at Sat 21 Nov 08:00, when the shop opens") != std::string::npos);
  hand.plan.work.hours.front().close = hand.plan.work.start + hours(9);
  CHECK(page_of(hand, "/").find("the shop is shut") == std::string::npos);
  CHECK(page_of(hand, "/").find("when the shop opens") == std::string::npos);
}

TEST_CASE("a difference names what moves, what is new and what is gone", "[bench][difference]") {
  const auto op = [](const char* step, int first, int last, std::int64_t start) {
    plan::Operation o;
    o.step = StepId(step);
    o.first_unit = first;
    o.last_unit = last;
    o.start = Instant(start);
    return o;
  };
  plan::Schedule before, after;
  before.finish = Instant(1000);
  after.finish = Instant(1600);
  before.operations = {op("a", 1, 3, 0), op("b", 1, 3, 100), op("c", 1, 3, 200)};
  after.operations = {op("b", 1, 2, 400), op("b", 3, 3, 500), op("c", 1, 3, 200), op("d", 1, 1, 700)};
  const auto d = difference(before, after);
  REQUIRE(d.shifts.size() == 4);
  CHECK(d.unmoved == 3);
  CHECK((d.shifts[0].step == StepId("b") && d.shifts[0].first_unit == 1 && d.shifts[0].last_unit == 2));
  CHECK((d.shifts[1].first_unit == 3 && d.shifts[1].after == Instant(500)));
  CHECK((d.shifts[2].step == StepId("d") && !d.shifts[2].before));
  CHECK((d.shifts[3].step == StepId("a") && d.shifts[3].last_unit == 3 && !d.shifts[3].after));
  CHECK(difference(before, before).shifts.empty());
  after = before;
  after.operations[1].start = after.operations[1].start + Duration(2);
  CHECK(difference(before, after).shifts.empty());  // nobody sees two seconds
}
