#include <catch2/catch.hpp>

#include <algorithm>

#include "record/bench_hand.h"
#include "record/follow.h"
#include "record/report.h"

using namespace handlot::record;
using handlot::Duration;
using handlot::StepId;
using sample::Hand;

namespace {

Stand stand(const Hand& hand, const char* step, int unit) {
  const State state = hand.state();
  const Cell* cell = cell_of(state, *find_step(hand.plan, StepId(step)), unit);
  return cell ? cell->stand : Stand::open;
}

void play_whole_lot(Hand& hand) {
  for (const auto& step : hand.plan.work.steps) {
    if (step.timing.whole_lot) {
      hand.done(0, step.id.text.c_str());
      continue;
    }
    for (int n = 1; n <= hand.plan.head.lot; ++n) hand.done(n, step.id.text.c_str());
    hand.seconds += 3600;
  }
}

}  // namespace

TEST_CASE("the same lines give the same state, added one by one or at once", "[record][twin]") {
  Hand hand;
  play_whole_lot(hand);
  hand.write(Kind::rework, 2, "solder", "", {}, "cold joint");
  hand.done(2, "solder");
  hand.strike(hand.lines[5].id, "wrong unit");
  hand.write(Kind::scrap, 3, "", "", {}, "dropped");
  Ledgerbook one_by_one(hand.plan);
  for (const auto& line : hand.lines) one_by_one.add(line);
  CHECK(one_by_one.state() == hand.state());
  Ledgerbook cut(hand.plan);
  for (const auto& line : hand.lines) cut.add(line);
  cut.cut_to(20);
  CHECK(cut.state() == derive(hand.plan, std::span(hand.lines).first(20)));
}

TEST_CASE("a correction strikes through and what it struck counts no more", "[record]") {
  Hand hand;
  hand.done(0, "verify");
  hand.write(Kind::start, 1, "solder");
  const auto done = hand.write(Kind::done, 1, "solder");
  CHECK(stand(hand, "solder", 1) == Stand::done);
  hand.strike(done, "it was unit 2");
  CHECK(stand(hand, "solder", 1) == Stand::started);
  CHECK(hand.state().struck.count(done) == 1);
  CHECK(hand.state().ids.size() == hand.lines.size());  // nothing is gone
}

TEST_CASE("rework undoes only what lies downstream, for that unit alone", "[record]") {
  Hand hand;
  play_whole_lot(hand);
  hand.write(Kind::rework, 2, "oil", "", {}, "a bare place at the edge");
  CHECK(stand(hand, "oil", 2) == Stand::again);
  CHECK(stand(hand, "bake", 2) == Stand::again);
  CHECK(stand(hand, "close", 2) == Stand::again);
  CHECK(stand(hand, "pack", 2) == Stand::again);  // a lot step, to be passed again by unit 2
  CHECK(stand(hand, "pack", 1) == Stand::done);
  CHECK(stand(hand, "test", 2) == Stand::done);
  CHECK(stand(hand, "glue", 2) == Stand::done);
  for (const char* step : {"solder", "oil", "bake", "close"}) CHECK(stand(hand, step, 1) == Stand::done);
  SECTION("and the values of the re-test must be written anew") {
    const auto refused = hand.ask(Kind::done, 2, "close", "", {}, "in a hurry");
    CHECK(std::any_of(refused.begin(), refused.end(),
                      [](const auto& d) { return d.text.find("hold: measure") == 0; }));
  }
}

namespace {

/// The nine steps of the sample, and a board that is soldered, stamped, washed, dried and tested as listed.
handlot::plan::Plan with_a_board() {
  using handlot::plan::ReasonKind;
  auto plan = sample::plan();
  int number = 200;
  for (const auto& [id, process] : {std::pair("header", "hand-solder"), {"stamp", "label"}, {"cans", "hand-solder"}, {"wash-it", "clean-flux"}, {"air", "dry"},
                                    {"meter", "test"}, {"frame", "sand"}, {"look", "inspect"}}) {
    plan.work.steps.push_back(sample::step(id, number, id, handlot::minutes(2)));
    plan.work.steps.back().process = process;
    plan.work.steps.back().section = "amplifier";
    number += 10;
  }
  const auto step = [&](const char* id) -> handlot::plan::Step& { return *std::find_if(plan.work.steps.begin(), plan.work.steps.end(), [&](const auto& s) { return s.id.text == id; }); };
  step("cans").parts = {{handlot::PartId("cans"), "cans", 2, "A"}};
  step("frame").parts = {{handlot::PartId("frame"), "frame", 1, "B"}};
  step("frame").section = step("look").section = "";
  for (const auto& [from, to] : {std::pair("header", "stamp"), {"stamp", "cans"}, {"cans", "wash-it"}, {"air", "meter"}, {"meter", "frame"}, {"frame", "look"}})
    plan.work.constraints.push_back(sample::link(from, to, ReasonKind::listing, "both work on the board"));
  plan.work.constraints.push_back(sample::link("wash-it", "air", ReasonKind::process, "what was washed is dried"));
  return plan;
}

bool rests_on(const handlot::plan::Plan& plan, const char* from, const char* later) {
  const auto all = downstream(plan, StepId(from));
  return std::count(all.begin(), all.end(), StepId(later)) == 1;
}

/// Slow and plain: what is behind what, path by path.
struct AllPaths {
  const handlot::plan::Plan& plan;

  static bool is(const handlot::plan::Step& s, std::initializer_list<const char*> processes) {
    return std::any_of(processes.begin(), processes.end(), [&](const char* p) { return s.process == p; });
  }
  static bool tests(const handlot::plan::Step& s) { return s.parts.empty() && (s.hold || is(s, {"test", "inspect"})); }
  static bool carries(const handlot::plan::Constraint& c) {
    using handlot::plan::ReasonKind;
    return c.reason.kind != ReasonKind::listing && c.reason.kind != ReasonKind::clock && c.reason.kind != ReasonKind::safety && c.reason.kind != ReasonKind::chemistry;
  }
  static bool listed(const handlot::plan::Constraint& c) { return carries(c) || c.reason.kind == handlot::plan::ReasonKind::listing; }

  bool way(const handlot::plan::Step& work, const StepId& here, const StepId& to, std::vector<StepId> been) const {
    been.push_back(here);
    return std::any_of(plan.work.constraints.begin(), plan.work.constraints.end(), [&](const auto& c) {
      if (c.from.step != here || !listed(c) || std::count(been.begin(), been.end(), c.to.step)) return false;
      const auto& next = *find_step(plan, c.to.step);
      const bool goes_on = next.parts.empty() || (work.process == "hand-solder" && next.section == work.section);
      return c.to.step == to || (goes_on && way(work, c.to.step, to, been));
    });
  }
  bool rests(const handlot::plan::Step& on, const handlot::plan::Step& later) const {
    const bool carried = std::any_of(plan.work.constraints.begin(), plan.work.constraints.end(), [&](const auto& c) { return c.from.step == on.id && c.to.step == later.id && carries(c); });
    const bool asked = tests(later) || (on.process == "hand-solder" && later.process == "clean-flux");
    return carried || (asked && !tests(on) && !is(on, {"label"}) && way(on, on.id, later.id, {}));
  }
};

}  // namespace

TEST_CASE("downstream agrees with a plain search over all paths", "[record][twin]") {
  for (const auto& plan : {sample::plan(), with_a_board()}) {
    REQUIRE(plan.work.steps[5].parts.empty());  // what is oiled brings no parts: the cure before it carries
    for (const auto& from : plan.work.steps) {
      std::vector<StepId> want{from.id};
      for (std::size_t round = 0; round < plan.work.steps.size(); ++round)
        for (const auto& on : plan.work.steps)
          for (const auto& later : plan.work.steps)
            if (std::count(want.begin(), want.end(), on.id) && !std::count(want.begin(), want.end(), later.id) && AllPaths{plan}.rests(on, later)) want.push_back(later.id);
      std::sort(want.begin(), want.end());
      auto got = downstream(plan, from.id);
      got.push_back(from.id);
      std::sort(got.begin(), got.end());
      CHECK(got == want);
    }
  }
}

TEST_CASE("a board soldered again is washed, dried and tested again, with work of other kinds between", "[record][rework]") {
  const auto plan = with_a_board();
  for (const char* later : {"wash-it", "air", "meter"}) CHECK(rests_on(plan, "header", later));
  CHECK_FALSE(rests_on(plan, "header", "stamp"));
  CHECK_FALSE(rests_on(plan, "header", "cans"));   // its own joints hold
  CHECK_FALSE(rests_on(plan, "header", "frame"));
  CHECK_FALSE(rests_on(plan, "header", "look"));   // at what comes in later
  CHECK_FALSE(rests_on(plan, "stamp", "meter"));
  CHECK_FALSE(rests_on(plan, "meter", "look"));
}

TEST_CASE("a test waits for work that is done again, though what lies between is done", "[record][rework]") {
  Hand hand(1);
  hand.plan = with_a_board();
  hand.plan.work.constraints.push_back(sample::link("stamp", "meter", handlot::plan::ReasonKind::listing, "both work on the board"));
  auto& links = hand.plan.work.constraints;
  links.erase(std::remove_if(links.begin(), links.end(), [](const auto& c) { return c.from.step.text == "air" || c.from.step.text == "cans"; }), links.end());
  for (const char* step : {"header", "stamp"}) hand.done(1, step);
  CHECK(hand.ask(Kind::start, 1, "meter").empty());
  hand.write(Kind::start, 1, "meter");  // in hand when the fault is seen
  hand.write(Kind::rework, 1, "header", "", {}, "cold joint");
  CHECK(stand(hand, "stamp", 1) == Stand::done);
  CHECK(stand(hand, "meter", 1) == Stand::again);
  CHECK(sample::says(hand.ask(Kind::start, 1, "meter"), "step 200 (header) is to be done again first"));
  hand.done(1, "header");
  CHECK(hand.ask(Kind::start, 1, "meter").empty());
}

TEST_CASE("rework of oiling has rags of its own", "[record][rework]") {
  using handlot::plan::ReasonKind;
  auto plan = sample::plan();
  plan.work.steps.push_back(sample::step("rags", 65, "Put the rags under water", handlot::minutes(1)));
  plan.work.constraints.push_back(sample::link("oil", "rags", ReasonKind::safety, "rags heat up by themselves", {}, handlot::hours(1)));
  plan.work.constraints.push_back(sample::link("oil", "solder", ReasonKind::safety, "vapour and a hot iron"));
  CHECK_FALSE(rests_on(plan, "oil", "rags"));
  plan.work.steps.back().process = "dispose-rags";
  CHECK(rests_on(plan, "oil", "rags"));
  CHECK_FALSE(rests_on(plan, "oil", "solder"));
}

TEST_CASE("rework asks for the tests again that only the listing puts behind it", "[record][rework]") {
  auto plan = sample::plan();
  plan.work.steps[2].process = "test";
  plan.work.steps.push_back(sample::step("again", 35, "Test the lamp", handlot::minutes(2)));
  plan.work.steps.push_back(sample::step("label", 36, "Label the lamp", handlot::minutes(2)));
  plan.work.steps[9].process = "test";
  plan.work.steps[10].process = "label";
  using handlot::plan::ReasonKind;
  for (const auto& [from, to] : {std::pair("solder", "again"), {"solder", "label"}, {"test", "again"}, {"label", "again"}})
    plan.work.constraints.push_back(sample::link(from, to, ReasonKind::listing, "both work on the board"));
  const auto has = [&](const char* from, const char* later) {
    const auto all = downstream(plan, StepId(from));
    return std::count(all.begin(), all.end(), StepId(later)) == 1;
  };
  CHECK(has("solder", "again"));
  CHECK_FALSE(has("solder", "label"));  // a label stays right
  CHECK_FALSE(has("test", "again"));    // a second look at the meter changes nothing
  CHECK_FALSE(has("label", "again"));
}

TEST_CASE("rework of a bond leaves parts in that only waited for its cure", "[record][rework]") {
  auto plan = sample::plan();
  plan.work.steps.push_back(sample::step("lens", 55, "Glue the lens in", handlot::minutes(4)));
  plan.work.steps.back().parts = {{handlot::PartId("lens"), "lens", 1, "A"}};
  plan.work.constraints.push_back(sample::link("glue", "lens", handlot::plan::ReasonKind::cure, "handled after 30 min", handlot::minutes(30)));
  const auto after_glue = downstream(plan, StepId("glue"));
  CHECK(std::count(after_glue.begin(), after_glue.end(), StepId("lens")) == 0);
  CHECK(std::count(after_glue.begin(), after_glue.end(), StepId("oil")) == 1);
  const auto waits = behind(plan, StepId("glue"));
  CHECK(std::count(waits.begin(), waits.end(), StepId("lens")) == 1);
}

namespace {

/// A board of one unit: printed paste takes its parts within 4 h and the oven within 8 h.
Hand pasted() {
  using handlot::plan::ReasonKind;
  Hand hand(1);
  auto& p = hand.plan;
  p.work.steps = {sample::step("print", 10, "Print the paste", handlot::minutes(2)), sample::step("place", 20, "Place the parts", handlot::minutes(6)),
                  sample::step("reflow", 30, "Reflow the board", handlot::minutes(1))};
  p.work.steps[2].process = "reflow";
  auto tack = sample::link("print", "place", ReasonKind::paste, "the tack goes", {}, handlot::hours(4));
  tack.from.edge = handlot::plan::Edge::start;
  tack.to.edge = handlot::plan::Edge::end;
  tack.if_late = "wash the board";
  auto dries = sample::link("print", "reflow", ReasonKind::paste, "the paste dries", {}, handlot::hours(8));
  dries.from.edge = handlot::plan::Edge::start;
  p.work.constraints = {sample::link("print", "place", ReasonKind::process, "parts lie in paste"), sample::link("place", "reflow", ReasonKind::process, "the oven solders them"), tack, dries};
  p.work.apart.clear();
  p.waits = {sample::wait_of(tack, "the tack goes", "place", "wash the board"), sample::wait_of(dries, "the paste dries", "reflow", "wash the board")};
  p.waits[0].id = "print.start>place.end";
  p.schedule.operations.clear();
  return hand;
}

/// So many boards, in a shop that is open for so long today and tomorrow.
Hand pasted(int lot, Duration day) {
  Hand hand = pasted();
  hand.plan.head.lot = lot;
  auto& work = hand.plan.work;
  work.hours = {{work.start, work.start + day}, {work.start + handlot::hours(24), work.start + handlot::hours(24) + day}};
  return hand;
}

}  // namespace

TEST_CASE("what cannot end by its latest end is not begun without a reason", "[record][admit]") {
  Hand hand = pasted();
  hand.done(1, "print");  // a minute
  hand.seconds = 3 * 3600 + 54 * 60 + 1;
  auto refused = hand.ask(Kind::start, 1, "place");
  REQUIRE(refused.size() == 1);
  CHECK(refused[0].text == "4 h since step 10 (Print the paste) are over in 5 min 59 s, and step 20 (Place the parts) takes 6 min: wash the board");
  CHECK(hand.ask(Kind::start, 1, "place", "", {}, "three parts only").empty());
  hand.seconds -= 1;  // just in time
  CHECK(hand.ask(Kind::start, 1, "place").empty());
  hand.seconds += 3600;
  refused = hand.ask(Kind::start, 1, "place");
  REQUIRE(refused.size() == 1);
  CHECK(refused[0].text == "more than 4 h since step 10 (Print the paste): wash the board");
}

TEST_CASE("the clocks of paste end with the first melting, and begin again with a new print", "[record][timers]") {
  Hand hand = pasted();
  for (const char* step : {"print", "place", "reflow"}) hand.done(1, step);
  hand.write(Kind::rework, 1, "reflow", "", {}, "cold joint");
  hand.seconds += 9 * 3600;
  CHECK(timers(hand.plan, hand.state(), hand.now()).empty());
  CHECK(hand.ask(Kind::start, 1, "reflow").empty());
  hand.write(Kind::rework, 1, "print", "", {}, "washed, once more");
  hand.done(1, "print");
  CHECK(timers(hand.plan, hand.state(), hand.now()).size() == 2);
  hand.seconds += 9 * 3600;
  CHECK_FALSE(hand.ask(Kind::start, 1, "place").empty());
}

TEST_CASE("no paste is printed that the hands do not cover before the shop shuts", "[record][look]") {
  using handlot::Instant;
  Hand hand = pasted(4, handlot::hours(10));
  auto& p = hand.plan;
  const Instant open = p.work.start;
  const auto print_is_now = [&] {
    const View view = look(p, hand.state(), hand.now());
    return view.now && view.now->step == StepId("print");
  };
  const auto why_not = [&] { return look(p, hand.state(), hand.now()).next.at(0).better_later; };
  hand.seconds = 10 * 3600 - 63 * 60;  // 8 min to print, 24 to place, one to lay the first into the oven; half an hour to spare
  CHECK(print_is_now());
  hand.seconds += 1;
  CHECK_FALSE(print_is_now());
  CHECK(why_not() == "step 30 (Reflow the board) must follow within 8 h, and the hands have no time to spare for it before the shop shuts");
  hand.seconds += 33 * 60;
  CHECK_FALSE(print_is_now());
  CHECK(why_not() == "step 20 (Place the parts) must be done within 4 h, and the hands do not get through it before the shop shuts");
  hand.seconds = 11 * 3600;  // shut
  CHECK_FALSE(print_is_now());
  hand.seconds = 24 * 3600;
  CHECK(print_is_now());
  SECTION("nor for a jar that will not keep") {
    hand.seconds = 10 * 3600 - 60;
    auto jar = sample::wait_of(p.work.constraints[0], "the opened jar of paste", "print", "throw the rest away");
    jar.from = {StepId("open"), handlot::plan::Edge::end};
    jar.to = {StepId("print"), handlot::plan::Edge::end};
    jar.max = handlot::hours(2);
    p.waits.push_back(jar);
    p.work.steps.push_back(sample::step("open", 5, "Open the jar", handlot::minutes(1)));
    for (int n = 1; n <= 4; ++n) hand.write(Kind::done, n, "open");
    CHECK_FALSE(print_is_now());
  }
  SECTION("a break that the window outlasts holds nothing up") {
    hand.seconds = 10 * 3600 - 60;
    p.work.hours[1].open = open + handlot::hours(11);
    CHECK(print_is_now());
  }
  SECTION("what fits no better tomorrow is let through") {
    hand.seconds = 10 * 3600 - 60;
    p.work.hours.resize(1);
    for (int day = 1; day <= 20; ++day) p.work.hours.push_back({open + handlot::hours(24 * day), open + handlot::hours(24 * day) + handlot::minutes(20)});
    CHECK(print_is_now());
  }
  SECTION("nor what fits to the minute only, on any day") {
    hand.seconds = 10 * 3600 - 40 * 60;
    p.work.hours.resize(1);
    for (int day = 1; day <= 20; ++day) p.work.hours.push_back({open + handlot::hours(24 * day), open + handlot::hours(24 * day) + handlot::minutes(40)});
    CHECK(print_is_now());
    hand.seconds += 10 * 60;  // but then no more
    CHECK_FALSE(print_is_now());
  }
  SECTION("before the hours that are known the shop is open too: the lot is begun sooner than planned") {
    hand.seconds = 10 * 3600 - 60;
    for (auto& day : p.work.hours) {
      day.open = day.open + handlot::hours(24 * 40);
      day.close = day.close + handlot::hours(24 * 40);
    }
    CHECK(print_is_now());
  }
  SECTION("past the hours that are known the shop is open") {
    hand.seconds = 400 * 3600;
    CHECK(print_is_now());
  }
}

TEST_CASE("slow hands are given their own time before the shop shuts", "[record][look]") {
  const auto with_hands_of = [](int minutes_to_place) {
    Hand hand = pasted(4, handlot::hours(10));
    for (int unit = 1; unit <= 2; ++unit) {
      hand.done(unit, "print");
      hand.write(Kind::start, unit, "place");
      hand.seconds += minutes_to_place * 60;
      hand.write(Kind::done, unit, "place");
      hand.done(unit, "reflow");
    }
    return hand;
  };
  const auto prints = [](Hand& hand, int minutes_before_the_end) {
    hand.seconds = 10 * 3600 - minutes_before_the_end * 60;
    const View view = look(hand.plan, hand.state(), hand.now());
    return view.now && view.now->step == StepId("print");
  };
  Hand planned = with_hands_of(6), slow = with_hands_of(12), quick = with_hands_of(3);
  CHECK(prints(planned, 47));  // 4 min to print, 12 to place, one to lay the first into the oven; half an hour to spare
  CHECK_FALSE(prints(planned, 46));
  CHECK(prints(slow, 59));
  CHECK_FALSE(prints(slow, 58));
  CHECK(prints(quick, 47));  // the plan's time is left to them
  CHECK_FALSE(prints(quick, 46));
}

TEST_CASE("units that the hands do not get through in time wait for what holds them up", "[record][look]") {
  Hand hand = pasted(12, handlot::hours(10));
  auto& p = hand.plan;
  p.work.steps.push_back(sample::step("bake", 5, "Bake the parts dry", handlot::Duration(60)));
  p.work.steps.back().timing.whole_lot = true;
  p.work.steps.back().timing.unattended = handlot::hours(8);
  p.work.constraints.push_back(sample::link("bake", "place", handlot::plan::ReasonKind::moisture, "wet parts crack"));
  hand.write(Kind::start, 0, "bake");
  hand.write(Kind::leave, 0, "bake");
  hand.seconds = 4 * 3600 + 20 * 60;  // the bake ends 20 min before the tack goes: three boards of twelve
  const View view = look(p, hand.state(), hand.now());
  CHECK_FALSE(view.now);
  hand.seconds = 6 * 3600;
  CHECK(look(p, hand.state(), hand.now()).now->step == StepId("print"));
}

TEST_CASE("a cup is no good after its time, while hands are still at the step", "[record][timers]") {
  Hand hand;
  for (handlot::plan::Step& s : hand.plan.work.steps)
    if (s.id.text == "glue") s.cups = {{handlot::CardId("epoxy"), "epoxy stays workable for 5 min in the cup", "mix anew", handlot::minutes(5), {}}};
  hand.write(Kind::start, 1, "glue");
  const auto of_cup = [&] {
    std::vector<Timer> found;
    for (const Timer& t : timers(hand.plan, hand.state(), hand.now()))
      if (t.what == "epoxy stays workable for 5 min in the cup") found.push_back(t);
    return found;
  };
  hand.seconds += 4 * 60;
  REQUIRE(of_cup().size() == 1);
  CHECK(of_cup()[0].phase == Phase::ready);
  CHECK(of_cup()[0].until_late_s == 60);
  CHECK_FALSE(of_cup()[0].sounds);
  hand.seconds += 2 * 60;
  CHECK(of_cup()[0].phase == Phase::late);
  CHECK(of_cup()[0].late_for_sure);
  CHECK(of_cup()[0].sounds);
  CHECK(of_cup()[0].if_late == "mix anew");
  hand.write(Kind::done, 1, "glue");
  CHECK(of_cup().empty());
}

TEST_CASE("a scrapped unit has no timers and asks for nothing", "[record]") {
  Hand hand;
  hand.done(1, "glue");
  CHECK(timers(hand.plan, hand.state(), hand.now()).size() == 1);
  hand.write(Kind::start, 1, "oil");
  CHECK(text(report(hand.plan, hand.state()), hand.plan).find("in hand") != std::string::npos);
  hand.write(Kind::scrap, 1, "", "", {}, "split");
  CHECK(text(report(hand.plan, hand.state()), hand.plan).find("in hand") == std::string::npos);
  CHECK(text(report(hand.plan, hand.state()), hand.plan).find("begun and given up") != std::string::npos);
  CHECK(timers(hand.plan, hand.state(), hand.now()).empty());
  CHECK(hand.ask(Kind::start, 1, "oil").size() == 1);
  CHECK(hand.state().good_units() == std::vector<int>{2, 3, 4});
}

TEST_CASE("timers stand in the order of harm", "[record][timers]") {
  Hand hand;
  hand.write(Kind::done, 1, "oil");
  hand.seconds = 3 * 3600;
  hand.write(Kind::done, 2, "oil");
  hand.write(Kind::done, 3, "glue");
  hand.write(Kind::done, 0, "mix");
  hand.seconds += 16 * 60;
  const auto all = timers(hand.plan, hand.state(), hand.now());
  REQUIRE(all.size() == 4);
  CHECK(all[0].phase == Phase::late);
  CHECK(all[0].units == std::vector<int>{1});
  CHECK(all[0].until_late_s.value() == Approx(-(3 * 3600 + 16 * 60 - 2 * 3600)));
  CHECK(all[1].from == StepId("mix"));  // 4 min until it is late
  CHECK(all.back().phase == Phase::running);
  CHECK(all.back().from == StepId("glue"));
}

TEST_CASE("units glued with one touch cure as one timer, and a stopped alarm stays stopped",
          "[record][timers]") {
  Hand hand;
  for (int n = 1; n <= 4; ++n) hand.write(Kind::done, n, "glue");
  hand.seconds += 1801;
  auto all = timers(hand.plan, hand.state(), hand.now());
  REQUIRE(all.size() == 1);
  CHECK(all[0].units == std::vector<int>{1, 2, 3, 4});
  CHECK(all[0].sounds);
  hand.write(Kind::heard, 0, "", all[0].id, 300.0);
  CHECK_FALSE(timers(hand.plan, hand.state(), hand.now())[0].sounds);
  hand.seconds += 301;
  CHECK(timers(hand.plan, hand.state(), hand.now())[0].sounds);
  hand.write(Kind::heard, 0, "", all[0].id);
  hand.seconds += 86400;
  CHECK_FALSE(timers(hand.plan, hand.state(), hand.now())[0].sounds);
}

namespace {

std::vector<Timer> air_timers(const Hand& hand) {
  std::vector<Timer> all = timers(hand.plan, hand.state(), hand.now());
  std::erase_if(all, [](const Timer& t) { return !t.id.starts_with("air."); });
  return all;
}

}  // namespace

TEST_CASE("air that clears has a timer where only it is waited for", "[record][timers]") {
  Hand hand;
  hand.done(1, "oil");
  CHECK(air_timers(hand).empty());  // the papers are not checked: nobody waits to solder
  hand.done(0, "verify");           // a minute
  auto all = air_timers(hand);
  REQUIRE(all.size() == 1);
  CHECK(all[0].what == "air clear and tools cold after step 60 (Oil the case)");
  CHECK(all[0].then == "step 20 (Solder the lead to the board)");
  CHECK(all[0].units == std::vector<int>{1, 2, 3, 4});
  CHECK(all[0].until_ready_s == Approx(540));
  const View view = look(hand.plan, hand.state(), hand.now());
  REQUIRE_FALSE(view.next.empty());
  CHECK(view.next[0].ready_in_s.value() == Approx(540));
  SECTION("it rings, and goes when what waited has begun") {
    hand.seconds += 540;
    all = air_timers(hand);
    REQUIRE(all.size() == 1);
    CHECK(all[0].sounds);
    hand.write(Kind::start, 2, "solder");
    CHECK(air_timers(hand).empty());
  }
  SECTION("half an hour later it is no news") {
    hand.seconds += 540 + 1801;
    CHECK(air_timers(hand).empty());
  }
  SECTION("the next unit's vapour begins it anew") {
    hand.seconds += 540;
    hand.write(Kind::start, 2, "oil");
    CHECK(air_timers(hand).empty());
    hand.write(Kind::done, 2, "oil");
    REQUIRE(air_timers(hand).size() == 1);
    CHECK(air_timers(hand)[0].until_ready_s == Approx(600));
  }
}

TEST_CASE("air that was clear before anybody could go on rings for nobody", "[record][timers]") {
  Hand hand;
  hand.done(1, "oil");
  hand.seconds += 700;
  hand.done(0, "verify");
  CHECK(air_timers(hand).empty());
}

TEST_CASE("the hands are told now, next and when", "[record][look]") {
  Hand hand;
  View view = look(hand.plan, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("verify"));
  hand.done(0, "verify");
  for (int n = 1; n <= 4; ++n) hand.done(n, "solder");
  for (int n = 1; n <= 4; ++n) hand.done(n, "test");
  hand.done(0, "mix");
  for (int n = 1; n <= 4; ++n) hand.done(n, "glue");
  view = look(hand.plan, hand.state(), hand.now());
  CHECK_FALSE(view.now);
  REQUIRE_FALSE(view.next.empty());
  CHECK(view.next[0].step == StepId("oil"));
  CHECK(view.next[0].ready_in_s.value() > 0);
  hand.seconds += 1800;
  view = look(hand.plan, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->units == std::vector<int>{1, 2, 3, 4});
}

TEST_CASE("nothing is begun that would keep the hands past another step's latest end", "[record][look]") {
  Hand hand;
  hand.plan.work.steps[1].timing.run = handlot::hours(3);  // solder
  hand.plan.work.steps[3].timing.run = handlot::hours(3);  // mix
  hand.done(0, "verify");
  CHECK(look(hand.plan, hand.state(), hand.now()).now->step == StepId("solder"));
  hand.done(1, "oil");  // bake it from 15 min on, within 2 h
  hand.seconds += 11 * 60;
  View view = look(hand.plan, hand.state(), hand.now());
  CHECK_FALSE(view.now);
  CHECK(view.kept_free == "step 70 (Warm the case) can begin in 4 min and must within 1 h 49 min; what else is ready "
                          "takes longer");
  hand.seconds += 4 * 60;
  view = look(hand.plan, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("bake"));
  CHECK(view.now->units == std::vector<int>{1});

  hand.plan.work.steps[1].timing.run = handlot::minutes(30);  // 37 min 30 s with the margin: two of four fit
  view = look(hand.plan, hand.state(), hand.now());
  CHECK(view.now->step == StepId("solder"));
  CHECK(view.now->units == std::vector<int>{1, 2});
  hand.seconds += 60 * 60;  // less than half of the window is left: it comes first
  CHECK(look(hand.plan, hand.state(), hand.now()).now->step == StepId("bake"));
  hand.seconds += 60 * 60;  // late: the rest goes on
  view = look(hand.plan, hand.state(), hand.now());
  CHECK(view.now->step == StepId("solder"));
  CHECK(view.kept_free.empty());
}

TEST_CASE("a clock of the whole lot hurries the units, where its step is done unit by unit", "[record][look]") {
  Hand hand;
  hand.plan.waits[2].scope = handlot::plan::Scope::lot;  // oil soaks: warm the case within 2 h
  hand.done(0, "verify");
  for (int n = 1; n <= 4; ++n) hand.done(n, "oil");
  hand.seconds += 90 * 60;
  const View view = look(hand.plan, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("bake"));
  CHECK(view.now->units == std::vector<int>{1, 2, 3, 4});
}

TEST_CASE("a latest end without a not before rings for the end only", "[record][timers]") {
  Hand hand(2);
  auto& wait = hand.plan.waits[2];  // oil soaks in: a floor life now, of the whole lot
  wait.scope = handlot::plan::Scope::lot;
  wait.min = handlot::Duration(0);
  hand.done(1, "oil");
  const auto alone = timers(hand.plan, hand.state(), hand.now());  // the second unit is still to come
  REQUIRE(alone.size() == 1);
  CHECK(alone[0].until_ready_s <= 0);  // nothing to wait for: only what is left
  CHECK(alone[0].phase == Phase::ready);
  CHECK_FALSE(alone[0].sounds);
  hand.seconds += 240;
  hand.done(2, "oil");
  auto all = timers(hand.plan, hand.state(), hand.now());
  REQUIRE(all.size() == 1);
  CHECK_FALSE(all[0].sounds);
  CHECK(all[0].until_late_s.value() == Approx(7200 - 300));
  hand.seconds += 7000;
  CHECK(timers(hand.plan, hand.state(), hand.now())[0].sounds);
  wait.min = handlot::minutes(15);  // and with one it counts from the last unit
  hand.seconds -= 6500;
  CHECK(timers(hand.plan, hand.state(), hand.now())[0].until_ready_s == Approx(900 - 500));
}

TEST_CASE("when a not before ends that some units have not begun is not known", "[record][timers]") {
  Hand hand(2);
  hand.plan.waits[2].scope = handlot::plan::Scope::lot;  // oil soaks in: 15 min at least, 2 h at most
  hand.done(1, "oil");
  hand.seconds += 30 * 60;
  const auto some = timers(hand.plan, hand.state(), hand.now());
  REQUIRE(some.size() == 1);
  CHECK(some[0].begun_by_some);
  CHECK(some[0].phase == Phase::running);  // the first unit's quarter of an hour is over; the second's has not begun
  CHECK_FALSE(some[0].sounds);
  CHECK(some[0].until_ready_s == Approx(900));  // were it begun now
  CHECK(some[0].until_late_s.value() > 5000);
  hand.done(2, "oil");
  const auto all = timers(hand.plan, hand.state(), hand.now());
  REQUIRE(all.size() == 1);
  CHECK_FALSE(all[0].begun_by_some);
  CHECK(all[0].until_ready_s == Approx(900).margin(61));
  hand.seconds += 2 * 3600;
  CHECK(timers(hand.plan, hand.state(), hand.now())[0].phase == Phase::late);
}

TEST_CASE("a step that the listing puts behind another is not waited for by it", "[record][look]") {
  Hand hand(1);
  for (const char* step : {"verify", "mix"}) hand.done(0, step);
  for (const char* step : {"solder", "test", "glue"}) hand.done(1, step);
  hand.seconds += 1800;
  auto listed = sample::link("oil", "buff", handlot::plan::ReasonKind::listing, "both work on the case");
  hand.plan.work.constraints.push_back(listed);
  hand.plan.work.constraints.push_back(
      sample::link("buff", "bake", handlot::plan::ReasonKind::listing, "both work on the case"));
  hand.plan.work.steps.push_back(sample::step("buff", 65, "Buff the case", handlot::minutes(3)));
  CHECK(look(hand.plan, hand.state(), hand.now()).now->step == StepId("oil"));
  hand.write(Kind::start, 1, "oil");
  CHECK(hand.ask(Kind::start, 1, "buff").size() == 1);  // it has the case in hand
}

TEST_CASE("a timer that ends takes nothing out of the hands", "[record][look]") {
  Hand hand;
  hand.done(0, "verify");
  hand.write(Kind::start, 1, "bake");
  hand.write(Kind::leave, 1, "bake");
  hand.write(Kind::start, 2, "solder");
  hand.seconds += 20 * 60;
  View view = look(hand.plan, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("solder"));
  hand.write(Kind::done, 2, "solder");
  view = look(hand.plan, hand.state(), hand.now());
  CHECK(view.now->step == StepId("bake"));
  CHECK(view.now->in_hand);
}

TEST_CASE("a latest end that falls in the night is as near as closing time", "[record][look]") {
  Hand hand;
  const handlot::Instant open = hand.plan.work.start;
  hand.plan.work.hours = {{open, open + handlot::hours(1)}, {open + handlot::hours(24), open + handlot::hours(34)}};
  hand.plan.work.steps[1].timing.run = handlot::minutes(30);  // solder
  hand.plan.work.steps[3].timing.run = handlot::hours(3);  // mix
  hand.done(0, "verify");
  hand.done(1, "oil");  // bake it from 15 min on, within 2 h
  hand.seconds += 15 * 60;
  View view = look(hand.plan, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("bake"));  // 37 min 30 s with the margin, and 44 min are left of the day, a quarter of them to spare
  hand.plan.work.hours.front().close = open + handlot::minutes(80);
  view = look(hand.plan, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("solder"));
  CHECK(view.now->units == std::vector<int>{1});
  hand.seconds += 25 * 60;
  view = look(hand.plan, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("bake"));
  hand.plan.work.hours.front().close = open + handlot::hours(10);
  view = look(hand.plan, hand.state(), hand.now());
  CHECK(view.now->step == StepId("solder"));
  CHECK(view.now->units == std::vector<int>{1});  // 80 min of 105 are left
}

TEST_CASE("nothing is begun whose follower cannot come in time", "[record][look]") {
  Hand hand(1);
  for (const char* step : {"verify", "mix"}) hand.done(0, step);
  for (const char* step : {"glue", "solder", "test"}) hand.done(1, step);
  hand.seconds += 1800;
  CHECK(look(hand.plan, hand.state(), hand.now()).now->step == StepId("oil"));
  auto link = hand.plan.work.constraints[0];  // the oven wants to be swept before anything is warmed
  link.from.step = StepId("sweep");
  link.to.step = StepId("bake");
  link.reason.text = "crumbs smoke";
  hand.plan.work.constraints.push_back(link);
  hand.plan.work.steps.push_back(sample::step("sweep", 95, "Sweep the oven", handlot::minutes(3)));
  const View view = look(hand.plan, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("sweep"));
  CHECK(view.next.front().better_later ==
        "step 70 (Warm the case) must follow within 2 h, and cannot yet: step 95 (Sweep the oven) is not done: crumbs smoke");
  hand.done(1, "sweep");
  CHECK(look(hand.plan, hand.state(), hand.now()).now->step == StepId("oil"));
}

TEST_CASE("no clock is started that a bake until tomorrow lets run out", "[record][look]") {
  Hand hand(1);
  hand.plan.work.constraints[3].max.reset();  // an epoxy that waits
  hand.plan.waits[0].max.reset();
  auto dry = hand.plan.work.constraints[0];  // the lead is dried for a day before it is soldered
  dry.from.step = StepId("dry");
  dry.to.step = StepId("oil");
  hand.plan.work.constraints.push_back(dry);
  hand.plan.work.steps.push_back(sample::step("dry", 95, "Dry the board", handlot::minutes(3)));
  hand.plan.work.steps.back().timing.unattended = handlot::hours(24);
  auto oiled = hand.plan.waits[0];  // what is glued must be oiled within four hours
  oiled.from.step = StepId("glue");
  oiled.to.step = StepId("oil");
  oiled.max = handlot::hours(4);
  hand.plan.waits.push_back(oiled);
  for (const char* step : {"verify", "mix"}) hand.done(0, step);
  for (const char* step : {"solder", "test"}) hand.done(1, step);
  View view = look(hand.plan, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("dry"));  // not the glue, which comes first in the plan
  hand.write(Kind::start, 1, "dry");
  hand.write(Kind::leave, 1, "dry");
  hand.seconds += 10 * 3600;
  view = look(hand.plan, hand.state(), hand.now());
  CHECK_FALSE(view.now);
  CHECK(view.next.front().better_later.find("must follow within 4 h") != std::string::npos);
  hand.seconds += 11 * 3600;  // three hours to go
  CHECK(look(hand.plan, hand.state(), hand.now()).now->step == StepId("glue"));
}

TEST_CASE("no clock is started that waits for the first piece", "[record][look]") {
  Hand hand(2);
  auto shut = hand.plan.waits[2];  // a warm case is shut within the hour; unit 1 comes first
  shut.from.step = StepId("bake");
  shut.from.edge = handlot::plan::Edge::end;
  shut.to.step = StepId("close");
  shut.max = handlot::hours(1);
  hand.plan.waits.push_back(shut);
  for (const char* step : {"verify", "mix"}) hand.done(0, step);
  for (const char* step : {"solder", "test", "glue", "oil"}) hand.done(2, step);
  hand.seconds += 900;
  View view = look(hand.plan, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("solder"));
  const auto bake = std::find_if(view.next.begin(), view.next.end(), [](const Task& t) { return t.step == StepId("bake"); });
  if (bake != view.next.end()) CHECK(bake->better_later.find("unit 1 comes first") != std::string::npos);
  for (const char* step : {"solder", "test", "glue", "oil", "bake", "close"}) hand.done(1, step);
  CHECK(look(hand.plan, hand.state(), hand.now()).now->step == StepId("bake"));
}

TEST_CASE("what is late and still helps is done first, unless a clock that can be kept is lost by it", "[record][look]") {
  Hand hand;
  auto& oiled = hand.plan.work.constraints[5];  // warm the case within 2 h
  auto& bake = hand.plan.work.steps[6];
  const auto now_is = [&](const char* step) {
    const View view = look(hand.plan, hand.state(), hand.now());
    return view.now && view.now->step == StepId(step);
  };
  hand.done(0, "verify");
  hand.done(1, "oil");
  hand.seconds += 2 * 3600 + 30;
  CHECK(now_is("solder"));  // what went dull is for the step before to make good
  oiled.reason.kind = handlot::plan::ReasonKind::clock;
  CHECK(now_is("solder"));  // so is what has stiffened
  bake.process = "wipe-off";
  CHECK(now_is("bake"));
  oiled.reason.kind = handlot::plan::ReasonKind::safety;
  bake.process = "dispose-rags";
  REQUIRE(now_is("bake"));
  const View late = look(hand.plan, hand.state(), hand.now());
  CHECK_FALSE(late.now->ready);
  CHECK(late.now->obstacles.front().kind == Obstacle::Kind::late);
  CHECK(late.next.front().step == StepId("solder"));
  SECTION("not while it runs") {
    hand.write(Kind::start, 1, "bake", "", {}, "at last");
    hand.write(Kind::leave, 1, "bake");
    CHECK(now_is("solder"));
  }
  SECTION("mixed epoxy stiffens meanwhile") {
    for (const char* id : {"solder", "test"}) hand.done(2, id);
    hand.done(0, "mix");
    CHECK(now_is("bake"));
    bake.timing.run = handlot::minutes(18);
    CHECK_FALSE(now_is("bake"));
    hand.seconds += 21 * 60;  // lost in any case
    CHECK(now_is("bake"));
  }
}

TEST_CASE("no vapour is let out that keeps a running clock's step from its oven", "[record][look]") {
  Hand hand = pasted(2, handlot::hours(4));
  auto& p = hand.plan;
  auto clean = sample::step("clean", 40, "Clean flux off", handlot::minutes(4));
  p.work.steps.push_back(clean);
  p.work.constraints.push_back(sample::link("reflow", "clean", handlot::plan::ReasonKind::process, "flux is there after it"));
  handlot::plan::NeverTogether pair;
  pair.a = StepId("clean");
  pair.b = StepId("reflow");
  pair.clear_after_a = handlot::minutes(15);
  p.work.apart = {pair};
  for (const char* step : {"print", "place", "reflow"}) hand.done(1, step);
  hand.seconds = 2 * 3600;
  for (const char* step : {"print", "place"}) hand.done(2, step);
  const auto why_not = [&] {
    const View view = look(p, hand.state(), hand.now());
    const auto task = std::find_if(view.next.begin(), view.next.end(), [](const Task& t) { return t.step == StepId("clean"); });
    return task == view.next.end() ? std::string() : task->better_later;
  };
  p.work.steps[2].timing.uses.emplace_back();
  p.work.steps[2].timing.uses.back().resource = handlot::ResourceId("oven");
  CHECK(why_not().empty());
  hand.seconds = 4 * 3600 - 51 * 60;  // 4 min and a quarter, a quarter of an hour until the air is clear, half an hour to spare, one to lay it in
  CHECK(why_not().empty());
  hand.seconds += 1;
  CHECK(why_not() == "step 30 (Reflow the board) must begin within 49 min 59 s of shop hours, and cannot before this is done and 15 min have gone by: vapour and hot tools are never out together");
  CHECK(look(p, hand.state(), hand.now()).now->step == StepId("reflow"));
  CHECK(hand.ask(Kind::start, 1, "clean").empty());
  SECTION("where no oven is to be had in time the air may as well be used") {
    hand.write(Kind::away, 0, "", "oven", 24 * 3600);
    CHECK(look(p, hand.state(), hand.now()).now->step == StepId("clean"));
  }
  SECTION("what must come before it in any case does") {
    p.work.constraints.back() = sample::link("clean", "reflow", handlot::plan::ReasonKind::process, "a clean board");
    p.work.constraints.push_back(sample::link("place", "clean", handlot::plan::ReasonKind::process, "after placing"));
    hand.write(Kind::scrap, 1, "", "", {}, "bent");
    CHECK(look(p, hand.state(), hand.now()).now->step == StepId("clean"));
  }
}

TEST_CASE("a step comes with the units that time makes ready first", "[record][look]") {
  Hand hand;
  for (const char* id : {"verify", "mix"}) hand.done(0, id);
  for (const char* id : {"solder", "test"})
    for (int n = 1; n <= 4; ++n) hand.done(n, id);
  for (int n = 1; n <= 3; ++n) hand.done(n, "glue", 20);
  hand.seconds += 600;
  hand.done(4, "glue");
  const View view = look(hand.plan, hand.state(), hand.now());
  REQUIRE_FALSE(view.next.empty());
  CHECK(view.next[0].step == StepId("oil"));
  CHECK(view.next[0].units == std::vector<int>{1, 2, 3});
  CHECK(view.next[0].ready_in_s.value() == Approx(1800 - 660));
}

TEST_CASE("one jar rings once, and for nobody who has used it", "[record][timers]") {
  Hand hand(2);
  auto& wait = hand.plan.waits[1];  // the jar warms from when its step begins
  wait.from = {StepId("warm"), handlot::plan::Edge::start};
  wait.to.step = StepId("solder");
  wait.scope = handlot::plan::Scope::lot;
  auto warm = sample::step("warm", 5, "Take the jar out", handlot::minutes(1));
  warm.timing.whole_lot = true;
  warm.timing.unattended = handlot::minutes(30);
  hand.plan.work.steps.push_back(warm);
  const auto told = [&] { return timers(hand.plan, hand.state(), hand.now()).size(); };
  hand.write(Kind::start, 0, "warm");
  hand.write(Kind::leave, 0, "warm");
  CHECK(told() == 1);
  hand.seconds += 1800;
  hand.write(Kind::done, 0, "warm");
  CHECK(told() == 0);
  wait.min = handlot::minutes(40);  // longer than the step lasts
  CHECK(told() == 1);
  hand.seconds += 600;
  CHECK(told() == 1);
  hand.write(Kind::start, 1, "solder");
  CHECK(told() == 0);
}

TEST_CASE("rags of all units in one tin have one latest end", "[record][timers]") {
  Hand hand(3);
  auto& wait = hand.plan.waits[2];
  wait.min = Duration(0);
  wait.to.step = StepId("pack");
  for (int n = 1; n <= 3; ++n) {
    hand.seconds += 600;
    hand.done(n, "oil");
  }
  const auto all = timers(hand.plan, hand.state(), hand.now());
  REQUIRE(all.size() == 1);
  CHECK(all[0].units == std::vector<int>{1, 2, 3});
  CHECK(all[0].until_late_s.value() == Approx(7200 - 1320));
  wait.to.step = StepId("close");  // unit by unit
  CHECK(timers(hand.plan, hand.state(), hand.now()).size() == 3);
}

TEST_CASE("what is late comes up when nothing else can be done", "[record][look]") {
  Hand hand(1);
  for (const char* step : {"verify", "solder", "test", "mix", "glue", "oil"}) hand.done(step == std::string("verify") || step == std::string("mix") ? 0 : 1, step);
  hand.seconds += 3 * 3600;
  const View view = look(hand.plan, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("bake"));
  CHECK_FALSE(view.now->ready);
  CHECK(view.now->obstacles.front().kind == Obstacle::Kind::late);
}

TEST_CASE("what is ready is found however many things before it are not", "[record][look]") {
  Hand hand;
  hand.done(0, "verify");
  hand.done(1, "solder");
  for (int n = 2; n <= 4; ++n) hand.write(Kind::start, n, "solder");  // somebody else's hands, left to run
  for (int n = 2; n <= 4; ++n) hand.write(Kind::leave, n, "solder");
  const View view = look(hand.plan, hand.state(), hand.now());
  REQUIRE(view.now);
}

TEST_CASE("after a break a card says what ended, what is running and what to look at", "[record][look]") {
  Hand hand;
  hand.done(1, "glue");
  hand.write(Kind::start, 2, "glue");
  CHECK_FALSE(resume_card(hand.plan, hand.state(), hand.now()));
  hand.seconds += 7 * 86400;
  const auto card = resume_card(hand.plan, hand.state(), hand.now());
  REQUIRE(card);
  CHECK(card->away_s == Approx(7 * 86400));
  CHECK(card->ended.size() == 1);
  CHECK(card->look_at ==
        std::vector<std::string>{"unit 2: step 50 (Glue the feet to the case) is half done"});
  CHECK(card->last == "unit 2: step 50 (Glue the feet to the case) begun");
}

TEST_CASE("units are named as people name them", "[record]") {
  CHECK(units_text({0}) == "whole lot");
  CHECK(units_text({3}) == "unit 3");
  CHECK(units_text({1, 2}) == "units 1 and 2");
  CHECK(units_text({1, 3}) == "units 1 and 3");
  CHECK(units_text({1, 3, 4}) == "units 1, 3 and 4");
  CHECK(units_text({1, 2, 4, 5}) == "units 1, 2, 4 and 5");
  CHECK(units_text({1, 2, 3, 4, 7}) == "units 1 to 4, 7");
  CHECK(units_text({1, 2}, 2) == "both units");
  CHECK(units_text({1, 2, 3, 4}, 4) == "all 4 units");
}

TEST_CASE("a unit scrapped after its run takes the hands no more", "[record][look]") {
  Hand hand;
  hand.write(Kind::start, 1, "bake");
  hand.write(Kind::leave, 1, "bake");
  hand.seconds = 3600;
  CHECK(look(hand.plan, hand.state(), hand.now()).now->step == StepId("bake"));
  hand.write(Kind::scrap, 1, "", "", {}, "dropped");
  const View view = look(hand.plan, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("verify"));
}

TEST_CASE("a step whose own clock runs out soon does not wait for what follows it", "[record][look]") {
  Hand hand(2);
  auto& p = hand.plan;
  auto rags = sample::step("rags", 75, "Put the rags away", handlot::minutes(3));
  rags.timing.whole_lot = true;
  p.work.steps.push_back(rags);
  p.work.constraints.push_back(sample::link("bake", "rags", handlot::plan::ReasonKind::stated, "they come from there", Duration(0), handlot::hours(1)));
  p.waits.push_back(sample::wait_of(p.work.constraints.back(), "rags heat up", "put them away", "they burn"));
  p.work.constraints.push_back(sample::link("oil", "rags", handlot::plan::ReasonKind::stated, "no more of them"));
  for (const char* step : {"verify", "mix"}) hand.done(0, step);
  for (const char* step : {"glue", "solder", "test"}) hand.done(1, step);
  hand.seconds += 1800;
  hand.done(1, "oil");
  hand.seconds += 16 * 60;  // unit 2 is not oiled, so the rags cannot follow unit 1 yet
  const auto bake_is_now = [&] {
    const View view = look(p, hand.state(), hand.now());
    return view.now && view.now->step == StepId("bake") && view.now->units == std::vector<int>{1};
  };
  p.waits[2].max = handlot::minutes(20);
  CHECK(bake_is_now());
  p.waits[2].max = handlot::hours(30);  // a day is time enough to do the others first
  CHECK_FALSE(bake_is_now());
}

TEST_CASE("of two clocks with time enough the plan's order decides", "[record][look]") {
  Hand hand = pasted();
  auto& p = hand.plan;
  p.head.lot = 2;
  const auto op = [&](const char* step, int first, int last) {
    handlot::plan::Operation o;
    o.step = StepId(step);
    o.first_unit = first;
    o.last_unit = last;
    p.schedule.operations.push_back(o);
  };
  op("print", 1, 2);
  op("place", 1, 1);
  op("reflow", 1, 1);
  op("place", 2, 2);
  for (const int n : {1, 2}) hand.done(n, "print");
  hand.done(1, "place");
  hand.seconds += 600;
  View view = look(p, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("reflow"));  // 8 h, before placing, which has 4 h
  hand.seconds = 4 * 3600 - 8 * 60;
  view = look(p, hand.state(), hand.now());
  REQUIRE(view.now);
  CHECK(view.now->step == StepId("place"));
}

TEST_CASE("what nobody should stop after is not begun when the shop shuts first", "[record][look]") {
  Hand hand;
  auto& p = hand.plan;
  const auto open = p.work.start;
  p.work.hours = {{open, open + handlot::hours(10)}, {open + handlot::hours(24), open + handlot::hours(34)}};
  hand.done(0, "verify");
  for (const char* step : {"solder", "test"})
    for (int n = 1; n <= 4; ++n) hand.done(n, step);
  p.work.constraints.erase(p.work.constraints.begin() + 3);  // nothing must follow the mixing soon
  p.waits.erase(p.waits.begin());
  hand.seconds = 10 * 3600 - 100;
  const View view = look(p, hand.state(), hand.now());
  CHECK((!view.now || view.now->step != StepId("mix")));
  const auto mix = std::find_if(view.next.begin(), view.next.end(), [](const Task& t) { return t.step == StepId("mix"); });
  REQUIRE(mix != view.next.end());
  CHECK(mix->better_later == "the shop shuts in 1 min 40 s, it takes 2 min, and nobody should stop after it: the mixed epoxy stiffens");
  const Follow late(p, hand.state(), hand.now());
  CHECK(late.shuts_before(*find_step(p, StepId("mix")), 1) == Approx(100));
  hand.seconds -= 30;
  CHECK(look(p, hand.state(), hand.now()).now->step == StepId("mix"));
  hand.seconds = 11 * 3600;  // whoever stands there in the evening stays
  CHECK(look(p, hand.state(), hand.now()).now->step == StepId("mix"));
}

TEST_CASE("no parts are set into paste that no oven melts in time", "[record][look][away]") {
  Hand hand = pasted();
  auto& p = hand.plan;
  p.work.steps[2].timing.uses.emplace_back();
  p.work.steps[2].timing.uses.back().resource = handlot::ResourceId("oven");
  hand.done(1, "print");
  const auto place_is_now = [&] {
    const View view = look(p, hand.state(), hand.now());
    return view.now && view.now->step == StepId("place");
  };
  CHECK(place_is_now());
  hand.write(Kind::away, 0, "", "oven", 3600);
  CHECK(place_is_now());  // it is back in time
  hand.write(Kind::away, 0, "", "oven", 24 * 3600);
  CHECK_FALSE(place_is_now());
  const View view = look(p, hand.state(), hand.now());
  REQUIRE_FALSE(view.next.empty());
  CHECK(view.next[0].better_later == "step 30 (Reflow the board) cannot come in time, oven is not to be had until Fri 20 Nov 09:01: wash the board");
  CHECK(view.next[0].in_vain);
  REQUIRE(view.lost.size() == 1);
  CHECK(view.lost[0].units == std::vector<int>{1});
  CHECK(view.lost[0].from == StepId("print"));
  CHECK(view.lost[0].why == view.next[0].better_later);
  CHECK(hand.ask(Kind::start, 1, "place").empty());
  hand.write(Kind::rework, 1, "print", "", {}, "washed");
  CHECK(look(p, hand.state(), hand.now()).lost.empty());
}

TEST_CASE("a clock of days does not take the hands from one of minutes", "[record][look]") {
  Hand hand;
  auto& jar = hand.plan.work.constraints[0];  // verify to solder
  jar.max = handlot::hours(30 * 24);
  hand.plan.waits.push_back(sample::wait_of(jar, "the jar is open", "solder", "open a new jar"));
  for (const std::size_t step : {std::size_t{1}, std::size_t{3}}) hand.plan.work.steps[step].timing.run = handlot::hours(3);  // solder, mix
  hand.done(0, "verify");
  hand.done(1, "oil");  // bake it from 15 min on, within 2 h
  hand.seconds += 11 * 60;
  const auto seen = [&] { return look(hand.plan, hand.state(), hand.now()); };
  CHECK_FALSE(seen().now);
  CHECK(seen().kept_free.find("step 70 (Warm the case) can begin in 4 min") == 0);
  SECTION("as many units as there is time for") {
    hand.plan.work.steps[1].timing.run = handlot::minutes(30);
    REQUIRE(seen().now);
    CHECK(seen().now->step == StepId("solder"));
    CHECK(seen().now->units == std::vector<int>{1, 2});
  }
  SECTION("and the first of them, however the plan groups the rest") {
    hand.plan.work.steps[1].timing.run = handlot::minutes(50);
    auto& all = hand.plan.schedule.operations;
    const auto both = std::find_if(all.begin(), all.end(), [](const auto& op) { return op.step == StepId("solder"); });
    both->last_unit = 2;
    auto third = *both;
    third.first_unit = third.last_unit = 3;
    all.insert(both + 1, third);
    REQUIRE(seen().now);
    CHECK(seen().now->step == StepId("solder"));
    CHECK(seen().now->units == std::vector<int>{1});
  }
  SECTION("where it would be lost meanwhile it comes first") {
    jar.max = hand.plan.waits.back().max = handlot::minutes(20);
    REQUIRE(seen().now);
    CHECK(seen().now->step == StepId("solder"));
  }
}

TEST_CASE("hands do something else while it soaks, where each clock is kept", "[record][look]") {
  Hand hand(3);
  auto& p = hand.plan;
  p.work.steps = {sample::step("oil", 10, "Oil the case", handlot::minutes(3)), sample::step("wipe", 20, "Wipe it off", handlot::minutes(2))};
  p.work.constraints = {sample::link("oil", "wipe", handlot::plan::ReasonKind::stated, "the oil soaks", handlot::minutes(8), handlot::minutes(15))};
  p.waits = {sample::wait_of(p.work.constraints[0], "the oil soaks", "wipe", "it gums up")};
  p.work.apart.clear();
  p.schedule.operations.clear();
  hand.done(1, "oil", 180);
  const auto seen = [&] { return look(p, hand.state(), hand.now()); };
  REQUIRE(seen().now);
  CHECK(seen().now->step == StepId("oil"));
  CHECK(seen().now->units == std::vector<int>{2, 3});
  SECTION("not where the hands are not back in time") {
    p.work.steps[0].timing.run = handlot::minutes(12);
    CHECK_FALSE(seen().now);
    CHECK_FALSE(seen().kept_free.empty());
  }
  SECTION("nor where what soaks then is not wiped in time") {
    p.work.steps[1].timing.run = handlot::minutes(10);
    CHECK_FALSE(seen().now);
  }
  SECTION("as many as can be wiped in time") {
    p.work.steps[0].timing.run = handlot::minutes(7);
    REQUIRE(seen().now);
    CHECK(seen().now->units == std::vector<int>{2});
  }
}

TEST_CASE("a station that is back when the shop is shut keeps no clock", "[record][look][away]") {
  Hand hand = pasted(1, handlot::hours(9));
  auto& p = hand.plan;
  p.work.steps[2].timing.uses.emplace_back();
  p.work.steps[2].timing.uses.back().resource = handlot::ResourceId("oven");
  hand.seconds = 3600 * 7.0;
  hand.done(1, "print");  // in the oven within 8 h
  const auto lost = [&] { return look(p, hand.state(), hand.now()).lost; };
  hand.write(Kind::away, 0, "", "oven", 3600);
  CHECK(lost().empty());
  hand.write(Kind::away, 0, "", "oven", 2.5 * 3600);
  REQUIRE(lost().size() == 1);
  CHECK(lost()[0].why.find("and there are no hands for it then: wash the board") != std::string::npos);
  hand.seconds = 9.5 * 3600;  // who is there in the evening stays
  CHECK(lost().empty());
}

TEST_CASE("nothing is put on what has dried: the step before is done again", "[record][look]") {
  Hand hand;
  auto& oiled = hand.plan.work.constraints[5];  // warm the case within 2 h
  auto& bake = hand.plan.work.steps[6];
  oiled.reason.kind = handlot::plan::ReasonKind::stated;
  hand.done(0, "verify");
  hand.done(1, "oil");
  hand.seconds += 2 * 3600 + 30;
  const auto seen = [&] { return look(hand.plan, hand.state(), hand.now()); };
  CHECK(seen().now->step == StepId("bake"));  // late, it helps yet
  CHECK(seen().dried.empty());
  bake.irreversible = true;
  CHECK(seen().now->step == StepId("solder"));
  REQUIRE(seen().dried.size() == 1);
  CHECK(seen().dried[0].from == StepId("oil"));
  CHECK(seen().dried[0].units == std::vector<int>{1});
  CHECK(seen().dried[0].why == "the oil gets sticky: wipe it with spirit and oil again");
  SECTION("what is squeezed out is cut off late, too") {
    bake.process = "trim";
    CHECK(seen().now->step == StepId("bake"));
    CHECK(seen().dried.empty());
  }
  SECTION("parts that took up water are not opened again") {
    oiled.reason.kind = handlot::plan::ReasonKind::moisture;
    CHECK(seen().dried.empty());
  }
  SECTION("once it is to be done again") {
    hand.write(Kind::rework, 1, "oil", "", {}, "dry");
    CHECK(seen().dried.empty());
  }
}

TEST_CASE("what would be put on what has dried is not offered, also where nothing else can be done", "[record][look]") {
  Hand hand(1);
  for (const char* step : {"verify", "solder", "test", "mix", "glue", "oil"}) hand.done(step == std::string("verify") || step == std::string("mix") ? 0 : 1, step);
  hand.seconds += 3 * 3600;
  hand.plan.work.steps[6].irreversible = true;  // bake
  const View view = look(hand.plan, hand.state(), hand.now());
  CHECK_FALSE(view.now);
  CHECK(view.dried.size() == 1);
  REQUIRE_FALSE(view.next.empty());
  CHECK(view.next[0].step == StepId("bake"));
}

TEST_CASE("a cup that has stiffened is mixed anew for the units that have none of it", "[record][look]") {
  Hand hand(2);
  hand.done(0, "verify");
  for (const int n : {1, 2})
    for (const char* id : {"solder", "test"}) hand.done(n, id);
  hand.done(0, "mix");
  const auto dried = [&] { return look(hand.plan, hand.state(), hand.now()).dried; };
  SECTION("some have") {
    hand.done(1, "glue");
    hand.seconds += 21 * 60;
    REQUIRE(dried().size() == 1);
    CHECK(dried()[0].from == StepId("mix"));
    CHECK(dried()[0].units == std::vector<int>{2});
  }
  SECTION("none has") {
    CHECK(dried().empty());
    hand.seconds += 21 * 60;
    REQUIRE(dried().size() == 1);
    CHECK(dried()[0].units == std::vector<int>{0});
  }
}

TEST_CASE("a run that others still have is asked for again later", "[record][look]") {
  Hand hand;
  hand.done(0, "verify");
  hand.write(Kind::start, 1, "bake");
  hand.write(Kind::leave, 1, "bake");
  hand.seconds += 20 * 60;
  const auto now_is = [&](const char* step) {
    const View view = look(hand.plan, hand.state(), hand.now());
    return view.now && view.now->step == StepId(step);
  };
  CHECK(now_is("bake"));
  const auto all = timers(hand.plan, hand.state(), hand.now());
  const auto run = std::find_if(all.begin(), all.end(), is_of_run);
  REQUIRE(run != all.end());
  hand.write(Kind::heard, 0, "", run->id);  // the alarm is stopped, the tick still missing
  CHECK(now_is("bake"));
  hand.write(Kind::heard, 0, "", run->id, 3600);
  CHECK(now_is("solder"));
  hand.seconds += 3599;
  CHECK(now_is("solder"));
  hand.seconds += 1;
  CHECK(now_is("bake"));
}

TEST_CASE("a run that is over keeps nobody from a latest end that is close", "[record][look]") {
  Hand hand(1);
  hand.done(0, "verify");
  for (const char* id : {"solder", "test"}) hand.done(1, id);
  hand.write(Kind::start, 1, "bake");
  hand.write(Kind::leave, 1, "bake");
  hand.seconds += 10 * 60;
  hand.done(0, "mix");  // glue within 20 min
  const auto now_is = [&](const char* step) {
    const View view = look(hand.plan, hand.state(), hand.now());
    return view.now && view.now->step == StepId(step);
  };
  CHECK(now_is("bake"));  // just over: it is taken out
  hand.seconds += 5 * 60;
  CHECK(now_is("glue"));  // nobody has come to it
  hand.plan.waits[0].max = hand.plan.work.constraints[3].max = handlot::hours(5);
  CHECK(now_is("bake"));
}
