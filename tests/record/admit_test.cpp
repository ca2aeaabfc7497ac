#include <catch2/catch.hpp>

#include "record/bench_hand.h"
#include "record/report.h"

using namespace handlot::record;
using handlot::StepId;
using sample::Hand;
using sample::says;

TEST_CASE("a hold is not passed without its value, whatever is written", "[record][admit]") {
  Hand hand;
  hand.done(0, "verify");
  hand.done(1, "solder");
  hand.write(Kind::start, 1, "test");
  CHECK(says(hand.ask(Kind::done, 1, "test"), "hold: measure and write down (current at 5.0 V) first"));
  CHECK(says(hand.ask(Kind::done, 1, "test", "", {}, "I am sure it is good"), "hold: measure"));
  hand.write(Kind::value, 1, "test", "current", 20.0);
  CHECK(says(hand.ask(Kind::done, 1, "test"), "hold: look and tick (all three diodes are lit) first"));
  hand.write(Kind::tick, 1, "test", "lit");
  CHECK(hand.ask(Kind::done, 1, "test").empty());
}

TEST_CASE("no value is written of what is not there yet", "[record][admit][hold]") {
  Hand hand;
  hand.done(0, "verify");
  CHECK(says(hand.ask(Kind::value, 1, "test", "current", 20.0), "step 20 (Solder the lead to the board) is not done"));
  CHECK(says(hand.ask(Kind::value, 1, "test", "current", 20.0, "measured on the loose board"), "is not done"));
  CHECK(says(hand.ask(Kind::tick, 1, "test", "lit"), "is not done"));
  hand.done(1, "solder");
  CHECK(hand.ask(Kind::value, 1, "test", "current", 20.0).empty());  // before Begin is touched, but there
  SECTION("begun all the same, it counts") {
    hand.write(Kind::start, 2, "test", "", {}, "lead clamped on");
    CHECK(hand.ask(Kind::value, 2, "test", "current", 20.0).empty());
  }
  SECTION("in an old record it passes no hold") {
    hand.write(Kind::value, 2, "test", "current", 20.0);
    hand.write(Kind::tick, 2, "test", "lit");
    hand.done(2, "solder");
    CHECK(says(hand.ask(Kind::done, 2, "test"), "hold: measure"));
    hand.write(Kind::value, 2, "test", "current", 20.0);
    hand.write(Kind::tick, 2, "test", "lit");
    CHECK(hand.ask(Kind::done, 2, "test").empty());
  }
  SECTION("rework takes the value from what was not begun yet, too") {
    hand.write(Kind::value, 1, "test", "current", 20.0);
    hand.write(Kind::tick, 1, "test", "lit");
    hand.write(Kind::rework, 1, "solder", "", {}, "cold joint");
    hand.done(1, "solder");
    CHECK(says(hand.ask(Kind::done, 1, "test"), "hold: measure"));
  }
}

TEST_CASE("a value never reads as the limit that it misses", "[record][admit]") {
  Hand hand;
  auto& check = hand.plan.work.steps[2].checks[0];
  check = {"current", "carrier", "4.1943 to 4.19431 MHz", 4.1943, 4.19431, "MHz", true};
  hand.write(Kind::start, 1, "test");
  hand.write(Kind::value, 1, "test", "current", 4.19428);
  CHECK(says(hand.ask(Kind::done, 1, "test"), "carrier: 4.19428 MHz is outside 4.1943 to 4.19431"));
}

TEST_CASE("a value outside its limits stops, and only a written reason passes it", "[record][admit]") {
  Hand hand;
  hand.write(Kind::start, 1, "test");
  hand.write(Kind::value, 1, "test", "current", 22.01);
  hand.write(Kind::tick, 1, "test", "lit");
  CHECK(says(hand.ask(Kind::done, 1, "test"), "22.01 mA is outside 18 to 22 mA"));
  CHECK(hand.ask(Kind::done, 1, "test", "", {}, "meter reads 0.1 high").empty());
  hand.write(Kind::value, 1, "test", "current", 22.0);
  CHECK(hand.ask(Kind::done, 1, "test").empty());
}

TEST_CASE("an earlier step, a cure and a latest end stand against a step", "[record][admit]") {
  Hand hand;
  CHECK(says(hand.ask(Kind::start, 1, "oil"),
             "step 50 (Glue the feet to the case) is not done: handled after 30 min"));
  hand.write(Kind::done, 1, "glue");
  hand.seconds += 60;
  CHECK(says(hand.ask(Kind::start, 1, "oil"), "29 min of 30 min to go"));
  CHECK(hand.ask(Kind::start, 1, "oil", "", {}, "only a dry fit").empty());
  hand.seconds += 29 * 60;
  CHECK(hand.ask(Kind::start, 1, "oil").empty());
  hand.write(Kind::done, 1, "oil");
  hand.seconds += 3 * 3600;
  CHECK(says(hand.ask(Kind::start, 1, "bake"), "the oil gets sticky"));
}

TEST_CASE("the order that the job file keeps on one part stands against a step, and a reason outweighs it",
          "[record][admit]") {
  Hand hand;
  hand.write(Kind::done, 0, "mix");
  CHECK(says(hand.ask(Kind::start, 1, "glue"), "step 30 (Test the board) is not done: the order of the job file"));
  CHECK(hand.ask(Kind::start, 1, "glue", "", {}, "the meter is being mended").empty());
  SECTION("not where nearer steps say it already") {
    hand.plan.work.constraints[2].redundant = true;
    CHECK(hand.ask(Kind::start, 1, "glue").empty());
  }
  SECTION("not once it is done") {
    hand.write(Kind::done, 1, "test");
    CHECK(hand.ask(Kind::start, 1, "glue").empty());
    CHECK_FALSE(hand.ask(Kind::start, 2, "glue").empty());
  }
}

TEST_CASE("blanks are no reason", "[record][admit]") {
  Hand hand;
  CHECK_FALSE(hand.ask(Kind::start, 1, "oil", "", {}, " \t ").empty());
  CHECK(says(hand.ask(Kind::note, 1, "oil", "", {}, "   "), "needs a few words"));
  CHECK(says(hand.ask(Kind::scrap, 1, "", "", {}, "\n"), "needs a few words"));
}

TEST_CASE("less than nothing is not written, and one fault once", "[record][admit][errors]") {
  Hand hand;
  for (const Kind kind : {Kind::times, Kind::away, Kind::lot_used, Kind::settled}) {
    CHECK(says(hand.ask(kind, 0, "solder", "thing", -3.0, "x"), "cannot be -3"));
    CHECK(hand.ask(kind, 0, "solder", kind == Kind::away ? "oven" : "thing", 3.0, "x").empty());
  }
  CHECK(says(hand.ask(Kind::times, 0, "solder", "", 0.0), "cannot be 0"));
  CHECK(hand.ask(Kind::settled, 0, "", "", 0.0, "the clock was set").empty());
  CHECK(says(hand.ask(Kind::photo, 1, "no-such-step", "0a1b"), "the plan has no step 'no-such-step'"));
  CHECK(hand.ask(Kind::photo, 1, "solder", "0a1b").empty());
  hand.done(1, "solder");
  CHECK(hand.ask(Kind::rework, 1, "solder", "", {}, "cold joint").empty());
  hand.write(Kind::rework, 1, "solder", "", {}, "cold joint");
  CHECK(says(hand.ask(Kind::rework, 1, "solder", "", {}, "cold joint"), "to be done again already"));
  CHECK(hand.ask(Kind::rework, 1, "solder", "", {}, "a bridge, too").empty());
  hand.done(1, "solder");
  CHECK(hand.ask(Kind::rework, 1, "solder", "", {}, "cold joint").empty());  // and cold once more
}

TEST_CASE("a hold whose value is struck, or measured anew outside, stands in the way again", "[record][admit][hold]") {
  Hand hand;
  hand.plan.work.constraints[2].reason.kind = handlot::plan::ReasonKind::test;
  hand.done(0, "mix");
  hand.write(Kind::start, 1, "test");
  const auto value = hand.write(Kind::value, 1, "test", "current", 20.0);
  hand.write(Kind::tick, 1, "test", "lit");
  hand.write(Kind::done, 1, "test");
  const auto stand = [&] { return cell_of(hand.state(), *find_step(hand.plan, StepId("test")), 1)->stand; };
  CHECK(hand.ask(Kind::start, 1, "glue").empty());
  SECTION("struck") {
    hand.strike(value, "it was unit 2");
    CHECK(stand() == Stand::again);
    CHECK(says(hand.ask(Kind::start, 1, "glue"), "step 30 (Test the board) is not done"));
    CHECK(says(hand.ask(Kind::done, 1, "test", "", {}, "it is good"), "hold: measure"));
    const auto report_of = [&] { return report(hand.plan, hand.state()); };
    CHECK(text(report_of(), hand.plan).find("step 30 (Test the board) is to be done again: what was written of 'current at "
                                            "5.0 V' is struck through") != std::string::npos);
    hand.write(Kind::value, 1, "test", "current", 21.0);
    hand.write(Kind::done, 1, "test");
    CHECK(stand() == Stand::done);
    CHECK(report_of().yields[1].first_time == 1);  // measured right, written wrong
  }
  SECTION("measured anew") {
    const auto again = hand.write(Kind::value, 1, "test", "current", 25.0);
    CHECK(stand() == Stand::again);
    CHECK(cell_of(hand.state(), *find_step(hand.plan, StepId("test")), 1)->again_because ==
          "current at 5.0 V 25 mA is outside 18 to 22 mA");
    CHECK_FALSE(hand.ask(Kind::start, 1, "glue").empty());
    hand.strike(again, "a slip of the pen");
    CHECK(stand() == Stand::done);
  }
  SECTION("measured anew within: nothing changes") {
    hand.write(Kind::value, 1, "test", "current", 21.9);
    CHECK(stand() == Stand::done);
  }
  SECTION("a check that a later plan asks for undoes nothing") {
    hand.plan.work.steps[2].checks.push_back({"hum", "no hum", "", {}, {}, "", false});
    CHECK(stand() == Stand::done);
  }
}

TEST_CASE("a whole-lot step waits for every unit that is still in the lot", "[record][admit]") {
  Hand hand(2);
  hand.write(Kind::done, 1, "close");
  CHECK(says(hand.ask(Kind::start, 0, "pack"), "step 80 (Close the case) is not done for unit 2"));
  hand.write(Kind::scrap, 2, "", "", {}, "cracked");
  CHECK(hand.ask(Kind::start, 0, "pack").empty());
}

TEST_CASE("steps that may not stand side by side, and the airing after", "[record][admit]") {
  Hand hand;
  hand.done(0, "verify");
  hand.write(Kind::start, 1, "oil");
  CHECK(says(hand.ask(Kind::start, 2, "solder"), "spirit vapour and a hot iron"));
  hand.write(Kind::done, 1, "oil");
  hand.seconds += 9 * 60;
  CHECK(says(hand.ask(Kind::start, 2, "solder"), "1 min of 10 min to go after step 60 (Oil the case): spirit vapour"));
  hand.seconds += 60;
  CHECK(hand.ask(Kind::start, 2, "solder").empty());
}

TEST_CASE("of many that left vapour the last counts, and the wait has its minutes", "[record][admit]") {
  Hand hand;
  hand.done(0, "verify");
  hand.done(1, "oil");
  hand.done(3, "oil", 240);
  const auto against = obstacles(hand.plan, hand.state(), *find_step(hand.plan, StepId("solder")), 2, handlot::plan::Edge::start, hand.now());
  REQUIRE(against.size() == 1);
  CHECK(against[0].kind == Obstacle::Kind::wait);
  CHECK(against[0].wait_s == Approx(600));
}

TEST_CASE("what was hot cools before vapour is opened, and it is said so", "[record][admit]") {
  Hand hand;
  hand.plan.work.apart[0].clear_after_b = handlot::minutes(3);
  hand.done(0, "verify");
  hand.done(2, "solder");
  hand.seconds += 60;
  CHECK(says(hand.ask(Kind::start, 1, "oil"), "2 min of 3 min to go after step 20 (Solder the lead to the board)"));
  hand.seconds += 120;
  CHECK_FALSE(says(hand.ask(Kind::start, 1, "oil"), "to go after step 20"));
}

TEST_CASE("the iron is as hot after a unit that is scrapped or done again", "[record][admit]") {
  Hand hand;
  hand.plan.work.apart[0].clear_after_b = handlot::minutes(3);
  hand.done(0, "verify");
  const auto held = [&] { return says(hand.ask(Kind::start, 1, "oil"), "to go after step 20"); };
  SECTION("done") {
    hand.done(2, "solder");
    hand.write(GENERATE(Kind::scrap, Kind::rework), 2, "solder", "", {}, "a bridge");
  }
  SECTION("in hand") {
    hand.write(Kind::start, 2, "solder");
    hand.seconds += 600;
    hand.write(Kind::scrap, 2, "solder", "", {}, "burnt");
  }
  hand.seconds += 60;
  CHECK(held());
  hand.seconds += 120;
  CHECK_FALSE(held());
}

TEST_CASE("the first piece comes alone", "[record][admit]") {
  Hand hand;
  for (int n = 1; n <= 4; ++n)
    for (const char* step : {"test", "bake"}) hand.write(Kind::done, n, step);
  CHECK(says(hand.ask(Kind::start, 2, "close"), "unit 1 comes first"));
  hand.done(1, "close");
  CHECK(hand.ask(Kind::start, 2, "close").empty());
}

TEST_CASE("the rest waits until unit 1 was looked at in a later step", "[record][admit]") {
  Hand hand;
  hand.plan.work.looks.push_back({StepId("test"), StepId("solder"), {}});
  hand.done(0, "verify");
  hand.done(1, "solder");
  CHECK(says(hand.ask(Kind::start, 2, "solder"), "unit 1 is looked at in step 30 (Test the board) before step 20 (Solder the lead to the board) is repeated"));
  CHECK(hand.ask(Kind::start, 1, "test").empty());
  hand.done(1, "test");
  CHECK(hand.ask(Kind::start, 2, "solder").empty());
}

TEST_CASE("what runs by itself is not done before its time", "[record][admit]") {
  Hand hand;
  hand.write(Kind::done, 1, "oil");
  hand.seconds += 15 * 60;
  hand.write(Kind::start, 1, "bake");
  CHECK(says(hand.ask(Kind::done, 1, "bake"), "runs by itself for 10 min, 10 min to go"));
  hand.write(Kind::leave, 1, "bake");
  hand.seconds += 10 * 60;
  CHECK(hand.ask(Kind::done, 1, "bake").empty());
}

TEST_CASE("undo is for ten seconds, then a correction with a reason", "[record][admit]") {
  Hand hand;
  const auto id = hand.write(Kind::start, 1, "solder");
  auto undo = hand.make(Kind::correction, 0, "", "undo", {}, "undone");
  undo.target = id;
  hand.seconds += 10;
  CHECK(hand.ask(undo).empty());
  hand.seconds += 0.1;
  CHECK(says(hand.ask(undo), "more than 10 s have gone by"));
  auto correction = hand.make(Kind::correction, 0, "", "", {}, "");
  correction.target = id;
  CHECK(says(hand.ask(correction), "needs a few words"));
  correction.text = "wrong unit";
  CHECK(hand.ask(correction).empty());
  hand.strike(id, "wrong unit");
  correction.id = "another-one";
  CHECK(says(hand.ask(correction), "struck through already"));
  correction.target = hand.lines.back().id;
  CHECK(says(hand.ask(correction), "a 'correction' line is not struck through"));
}

TEST_CASE("nonsense is answered with its mend", "[record][admit][errors]") {
  Hand hand;
  CHECK(says(hand.ask(Kind::done, 1, "no-such-step"), "the plan has no step 'no-such-step'"));
  CHECK(says(hand.ask(Kind::done, 5, "solder"), "the lot has 4 units, not 5"));
  CHECK(says(hand.ask(Kind::done, 0, "solder"), "is done unit by unit"));
  CHECK(says(hand.ask(Kind::done, 1, "pack"), "is done for the whole lot at once"));
  CHECK(says(hand.ask(Kind::done, -1, "solder"), "units count from 1"));
  CHECK(says(hand.ask(Kind::tick, 1, "test", "nothing"), "has no check 'nothing'"));
  CHECK(says(hand.ask(Kind::tick, 1, "test", "current"), "wants a value, not a tick"));
  CHECK(says(hand.ask(Kind::value, 1, "test", "current"), "'value' needs a value"));
  CHECK(says(hand.ask(Kind::value, 1, "test", "current", std::nan("")), "not a number"));
  CHECK(says(hand.ask(Kind::note, 1, "solder", "", {}, "bad \xff byte"), "UTF-8"));
  CHECK(says(hand.ask(Kind::note, 1, "solder", "", {}, "bell \a"), "control"));
  CHECK(says(hand.ask(Kind::note, 1, "solder", "", {}, std::string(2001, 'x')), "at most 2000 bytes"));
  CHECK(hand.ask(Kind::note, 1, "solder", "", {}, "kröchert, größer, 20 µm").empty());
  auto e = hand.make(Kind::note, 1, "solder", "", {}, "x");
  e.id = "a'; --";
  CHECK(says(hand.ask(e), "8 to 64 letters"));
}

TEST_CASE("what is closed for good is not sent to rework without a word of how it is reached", "[record][admit][rework]") {
  Hand hand;
  hand.plan.work.constraints.push_back(sample::link("solder", "close", handlot::plan::ReasonKind::access, "'close' hides 'board', which must be in by then"));
  hand.plan.work.constraints.back().redundant = true;
  CHECK(says(hand.ask(Kind::rework, 1, "solder", "", {}, "cold joint"), "step 20 (Solder the lead to the board) was never begun"));
  hand.done(1, "solder");
  CHECK(hand.ask(Kind::rework, 1, "solder", "", {}, "cold joint").empty());
  hand.done(1, "test");
  hand.done(1, "close");
  const auto refused = hand.ask(Kind::rework, 1, "solder", "", {}, "cold joint");
  REQUIRE(refused.size() == 1);
  CHECK(refused[0].code == "record-no-way-back");
  CHECK(refused[0].text == "step 80 (Close the case) cannot be undone, and nobody reaches what step 20 (Solder the lead to the board) made any more: "
                           "'close' hides 'board', which must be in by then");
  CHECK(hand.ask(Kind::rework, 1, "solder", "reached", {}, "cold joint; through the cable hole").empty());
  CHECK(hand.ask(Kind::rework, 1, "test", "", {}, "measure it again").empty());  // it needs no hand inside
  SECTION("a lid that opens again hides nothing for good") {
    for (auto& step : hand.plan.work.steps) step.irreversible = false;
    CHECK(hand.ask(Kind::rework, 1, "solder", "", {}, "cold joint").empty());
  }
  SECTION("nor one that is not on yet") {
    hand.done(2, "solder");
    CHECK(hand.ask(Kind::rework, 2, "solder", "", {}, "cold joint").empty());
  }
}

TEST_CASE("a hold of an oven run is not passed on a value from before the run", "[record][admit]") {
  Hand hand(1);
  auto& bake = hand.plan.work.steps[6];
  hand.plan.work.constraints.clear();
  bake.hold = true;
  bake.checks = {{"peak", "peak of the case", "50 to 60 degC", 50.0, 60.0, "degC", true}, {"flat", "lies flat", "", {}, {}, "", false}};
  CHECK(says(hand.ask(Kind::value, 1, "bake", "peak", 55), "is not begun: a value from before its run"));
  CHECK(hand.ask(Kind::tick, 1, "bake", "flat").empty());  // how it lies is looked at before
  hand.write(Kind::tick, 1, "bake", "flat");
  hand.write(Kind::start, 1, "bake");
  CHECK(hand.ask(Kind::value, 1, "bake", "peak", 55).empty());
  hand.write(Kind::value, 1, "bake", "peak", 55);
  hand.seconds += 60;
  hand.write(Kind::leave, 1, "bake");
  hand.seconds += 600;
  CHECK(says(hand.ask(Kind::done, 1, "bake"), "peak of the case: 55 degC was written before step 70 (Warm the case) ran by itself"));
  CHECK(hand.ask(Kind::done, 1, "bake", "", {}, "it is the set point").empty());
  SECTION("measured while it runs or after, it counts") {
    hand.write(Kind::value, 1, "bake", "peak", 56);
    CHECK(hand.ask(Kind::done, 1, "bake").empty());
  }
  SECTION("and where nothing holds, it is as it was") {
    bake.hold = false;
    CHECK(hand.ask(Kind::done, 1, "bake").empty());
  }
}
