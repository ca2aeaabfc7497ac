#include "schedule/check.h"

#include <catch2/catch.hpp>

#include <functional>
#include <set>

#include "samples.h"
#include "schedule/boards.h"
#include "schedule/faults.h"
#include "schedule/shop_hours.h"
#include "schedule/sizes.h"
#include "schedule/solve.h"

using namespace handlot;
using namespace handlot::schedule;

namespace {

Limits quick() {
  Limits limits;
  limits.reliefs = false;
  return limits;
}

}  // namespace

TEST_CASE("a schedule with one operation moved, cut or handed on is caught", "[schedule][property]") {
  std::set<std::string> rules;
  int caught = 0, still_right = 0;
  for (std::uint64_t seed = 1; seed <= 300; ++seed) {
    const plan::Work work = samples::small_work(seed, 7);
    const plan::Schedule made = schedule::solve(work, quick(), seed);
    if (made.operations.empty()) continue;
    samples::Dice dice(seed + 7);
    for (int i = 0; i < 12; ++i) {
      plan::Schedule wrong = made;
      auto& op = wrong.operations[static_cast<std::size_t>(
          dice.roll(0, static_cast<int>(made.operations.size()) - 1))];
      const Duration by(dice.roll(1, 5));
      switch (dice.roll(0, 6)) {
        case 0:
          op.start = op.start + by;
          op.hands_end = op.hands_end + by;
          op.end = op.end + by;
          break;
        case 1:
          op.start = op.start + -by;
          op.hands_end = op.hands_end + -by;
          op.end = op.end + -by;
          break;
        case 2:
          op.end = op.end + by;
          break;
        case 3:
          op.last_unit += 1;
          break;
        case 4:
          op.hands_on = op.hands_on + by;
          break;
        case 5:
          op.people = {ResourceId("zoe")};
          break;
        default:
          wrong.operations.erase(wrong.operations.begin() + (&op - wrong.operations.data()));
      }
      // The sums are made right again, so that only the rules can tell.
      wrong.finish = wrong.start;
      wrong.hands_on = Duration(0);
      for (const plan::Operation& o : wrong.operations) {
        wrong.finish = std::max(wrong.finish, o.end);
        wrong.hands_on += o.hands_on;
      }
      wrong.makespan = wrong.finish - wrong.start;
      wrong.status = plan::Schedule::Status::feasible;
      wrong.bound = Duration(0);
      const auto findings = check(work, wrong);
      (findings.empty() ? still_right : caught) += 1;
      for (const plan::Finding& f : findings) rules.insert(f.rule.text);
    }
  }
  CHECK(caught > 10 * still_right);  // some moves are right: a later start where nothing follows
  for (const char* rule :
       {"schedule-units", "schedule-time", "schedule-people", "schedule-resources", "schedule-together",
        "schedule-warmth", "schedule-links", "schedule-apart", "schedule-first-piece"}) {
    INFO(rule);
    CHECK(rules.count(rule) == 1);
  }
}

TEST_CASE("a change-over left out, and materials that meet, are caught", "[schedule]") {
  plan::Work work;
  work.start = Instant(0);
  work.hours = {{Instant(0), Instant(10000)}};
  work.resources = {{ResourceId("ann"), "", plan::Resource::Kind::person, 1, {}, {}, {}, false},
                    {ResourceId("bench"), "", plan::Resource::Kind::station, 1, {}, {}, Duration(60), false}};
  for (const char* id : {"oil", "glue"}) {
    plan::Step step;
    step.id = StepId(id);
    step.timing.run = Duration(600);
    step.timing.unattended = Duration(300);
    step.timing.material_family = id;
    step.timing.uses = {{ResourceId("bench"), 1, false, {}, {}}};
    work.steps.push_back(step);
  }
  plan::Schedule made = schedule::solve(work, quick());
  REQUIRE(made.makespan == Duration(1860));
  REQUIRE(made.setups == 1);
  plan::Operation& second = made.operations[1];
  second.hands_on = Duration(600);
  second.start = second.start + Duration(60);
  auto findings = check(work, made);
  REQUIRE_FALSE(findings.empty());
  CHECK(findings[0].message == second.step.text + " (unit 1) says 600 s of hands-on work, which are 660 s");
  second.start = second.start + Duration(-120);
  findings = check(work, made);
  const bool meet = std::any_of(findings.begin(), findings.end(),
                                [](auto& f) { return f.rule.text == "schedule-families"; });
  CHECK(meet);
}

TEST_CASE("who is away does nothing meanwhile, by the schedule and by the check", "[schedule]") {
  plan::Work work;
  work.start = Instant(0);
  for (int day = 0; day < 3; ++day) work.hours.push_back({Instant(day * 86400), Instant(day * 86400 + 8 * 3600)});
  work.resources = {{ResourceId("ann"), "", plan::Resource::Kind::person, 1, {}, {}, {}, false},
                    {ResourceId("ben"), "", plan::Resource::Kind::person, 1, {}, {}, {}, false, {work.hours[0], work.hours[2]}}};
  for (const char* id : {"saw", "plane"}) {
    plan::Step step;
    step.id = StepId(id);
    step.timing.run = Duration(3600);
    work.steps.push_back(step);
  }
  work.steps[0].timing.people = {ResourceId("ben")};
  plan::Schedule made = schedule::solve(work, quick());
  REQUIRE(made.status == plan::Schedule::Status::optimal);
  REQUIRE(made.operations.size() == 2);
  CHECK(made.operations[0].step.text == "plane");
  CHECK(made.operations[0].start == work.start);
  CHECK(made.operations[1].start == Instant(86400));  // the day he comes
  CHECK(made.operations[1].because == "'ben' is there from then on");
  CHECK(check(work, made).empty());
  made.operations[0].people = {ResourceId("ben")};
  const auto findings = check(work, made);
  REQUIRE(findings.size() == 1);
  CHECK(findings[0].message == "plane (unit 1) is done by 'ben', who is away meanwhile");

  // Two hours in one go do not fit between two absences of which one begins an hour later; with a pause neither.
  work.resources[1].away = {work.hours[0], {Instant(86400 + 3600), Instant(86400 + 8 * 3600)}, work.hours[2]};
  work.steps[0].timing.run = Duration(2 * 3600);
  work.steps[0].timing.may_pause = GENERATE(false, true);
  const auto never = schedule::solve(work, quick());
  CHECK(never.status == plan::Schedule::Status::infeasible);
  REQUIRE_FALSE(never.clash.empty());
  CHECK(never.clash.front().text.find("nobody who may do it is there for longer than 1 h") != std::string::npos);
  work.steps[0].timing.run = Duration(9 * 3600);  // longer than the shop is open, and still it is his hours that count
  CHECK(schedule::solve(work, quick()).clash.front().text.find("nobody who may do it is there for longer than 1 h") != std::string::npos);
  work.steps[0].timing.run = Duration(2 * 3600);
  work.resources[1].away.pop_back();  // there is the third day
  auto made_so = schedule::solve(work, quick());
  CHECK(made_so.status == plan::Schedule::Status::optimal);
  CHECK(check(work, made_so).empty());
  const bool pauses = work.steps[0].timing.may_pause;
  CHECK(made_so.makespan == Duration(2 * 86400 + (pauses ? 1 : 2) * 3600));  // an hour, a day away, an hour
  if (!pauses) return;
  plan::Operation& saw = *std::find_if(made_so.operations.begin(), made_so.operations.end(), [](const auto& o) { return o.step.text == "saw"; });
  CHECK(saw.hands_on == Duration(2 * 3600));
  for (Instant* moment : {&saw.hands_end, &saw.end, &made_so.finish}) *moment = Instant(86400 + 2 * 3600);
  made_so.makespan = made_so.bound = made_so.finish - made_so.start;
  CHECK(check(work, made_so).front().message == "saw (unit 1) has hands-on work outside shop hours");
}

namespace {

plan::Work one_person_from_nine_to_five() {
  plan::Work work;
  work.start = Instant(0);
  for (int day = 0; day < 20; ++day) work.hours.push_back({Instant(day * 86400), Instant(day * 86400 + 8 * 3600)});
  work.resources = {{ResourceId("ann"), "", plan::Resource::Kind::person, 1, {}, {}, {}, false}};
  return work;
}

/// Glue 4 min a unit, clamped by 2 min a unit, which must begin `most` after the glue is on.
plan::Work glued_then_clamped(Duration most, bool per_unit) {
  plan::Work work = one_person_from_nine_to_five();
  work.units = 8;
  for (const char* id : {"glue", "clamp"}) {
    plan::Step step;
    step.id = StepId(id);
    step.timing.setup = minutes(id[0] == 'g' ? 10 : 0);
    step.timing.run = minutes(id[0] == 'g' ? 4 : 2);
    step.timing.run_per_unit = per_unit;
    work.steps.push_back(step);
  }
  plan::Constraint open;
  open.from = {StepId("glue"), plan::Edge::end};
  open.to = {StepId("clamp"), plan::Edge::start};
  open.max = most;
  open.reason.text = "open time";
  work.constraints.push_back(open);
  return work;
}

int most_at_a_time(const plan::Schedule& made, const char* step) {
  int most = 0;
  for (const plan::Operation& op : made.operations) {
    if (op.step.text == step) most = std::max(most, op.last_unit - op.first_unit + 1);
  }
  return most;
}

}  // namespace

TEST_CASE("a latest end is kept by each unit of a sub-batch in its turn", "[schedule]") {
  const plan::Work work = glued_then_clamped(minutes(5), true);
  const plan::Schedule made = schedule::solve(work, quick());
  CHECK(check(work, made).empty());
  CHECK(made.status == plan::Schedule::Status::optimal);
  CHECK(most_at_a_time(made, "glue") == 2);  // the first of three would lie open for 8 min
  CHECK(most_at_a_time(made, "clamp") <= 2);

  // All eight at once: unit 1 lies 7 x 4 min, unit 8 is clamped after 7 x 2 min.
  const plan::Schedule loose = schedule::solve(glued_then_clamped(minutes(28), true), quick());
  CHECK(most_at_a_time(loose, "glue") == 8);
  CHECK(check(glued_then_clamped(minutes(28), true), loose).empty());
  const auto late = check(glued_then_clamped(minutes(27), true), loose);
  REQUIRE(late.size() == 1);
  CHECK(late[0].message ==
        "clamp (units 1 to 8) comes 28 min after glue (units 1 to 8) for unit 1, which is done in its turn, at most 27 min is allowed: "
        "open time");

  // Clamped all at once after glue spread on all at once: nobody has a turn.
  const plan::Work common = glued_then_clamped(minutes(5), false);
  const plan::Schedule at_once = schedule::solve(common, quick());
  CHECK(most_at_a_time(at_once, "glue") == 8);
  CHECK(check(common, at_once).empty());
}

TEST_CASE("units that may not go in fewer and lie too long in turn are named at once", "[schedule]") {
  plan::Work work = glued_then_clamped(minutes(5), true);
  work.steps[0].timing.batch_min = 3;
  const auto found = faults(work);
  REQUIRE(found.size() == 1);
  CHECK(found[0].text ==
        "'glue' takes no fewer than 3 units at a time, one after another: one of them waits 8 min between 'glue' and 'clamp', and may wait "
        "5 min: open time");
  work.steps[0].timing.batch_min = 2;
  CHECK(faults(work).empty());
}

TEST_CASE("a set-up needs hands, also where the run needs nobody", "[schedule]") {
  plan::Work work = one_person_from_nine_to_five();
  for (const char* id : {"reflow", "place"}) {
    plan::Step step;
    step.id = StepId(id);
    step.timing.setup = minutes(id[0] == 'r' ? 3 : 0);
    step.timing.run = minutes(id[0] == 'r' ? 9 : 20);
    step.timing.hands_on = id[0] == 'p';
    work.steps.push_back(step);
  }
  const plan::Schedule made = schedule::solve(work, quick());
  CHECK(check(work, made).empty());
  CHECK(made.makespan == minutes(23));
  CHECK(made.hands_on == minutes(23));
  work.hours = {{Instant(0), Instant(1200)}, {Instant(86400), Instant(88000)}};
  CHECK(schedule::solve(work, quick()).makespan == Duration(86400) + minutes(12));  // not after closing
  work.steps[0].timing.setup = {};
  CHECK(schedule::solve(work, quick()).makespan == minutes(20));
}

TEST_CASE("what needs no hands is begun while somebody is there, or by itself", "[schedule]") {
  plan::Work work = one_person_from_nine_to_five();
  work.units = 1;
  work.hours = {{Instant(0), Instant(1200)}, {Instant(86400), Instant(88000)}};
  for (const char* id : {"oven", "printer"}) work.resources.push_back({ResourceId(id), id, plan::Resource::Kind::station, 1, {}, {}, {}, false});
  for (const char* id : {"glue", "bake"}) {
    plan::Step step;
    step.id = StepId(id);
    step.timing.run = minutes(id[0] == 'g' ? 10 : 0);
    step.timing.hands_on = id[0] == 'g';
    step.timing.unattended = minutes(id[0] == 'g' ? 20 : 30);
    work.steps.push_back(step);
  }
  work.constraints.push_back({{StepId("glue"), plan::Edge::end}, {StepId("bake"), plan::Edge::start}, Duration(0), {}, plan::Scope::unit, {}, "", "", false, false});
  const auto makespan = [&] {
    const plan::Schedule made = schedule::solve(work, quick());
    CHECK(check(work, made).empty());
    CHECK(made.status == plan::Schedule::Status::optimal);
    return made.makespan;
  };
  CHECK(makespan() == minutes(60));  // a cure that begins when the glue has set
  work.steps[1].timing.uses = {{ResourceId("oven"), 1, false, {}, {}}};
  CHECK(makespan() == Duration(86400) + minutes(30));  // nobody puts it into the oven at night
  work.steps[0].timing.uses = {{ResourceId("printer"), 1, false, {}, {}}};
  CHECK(makespan() == Duration(86400) + minutes(30));
  work.steps[0].timing.uses = {{ResourceId("oven"), 1, false, {}, {}}};
  CHECK(makespan() == minutes(60));  // it is there already
  work.constraints[0].min = minutes(5);
  CHECK(makespan() == Duration(86400) + minutes(30));  // does not begin when the other ends
  work.constraints[0].min = Duration(0);
  work.steps[0].timing.unattended = minutes(10);
  work.steps[1].timing.uses = {{ResourceId("printer"), 1, false, {}, {}}};
  CHECK(makespan() == minutes(50));  // closing time counts
  plan::Schedule late = schedule::solve(work, quick());
  late.operations[1].start = late.operations[1].hands_end = late.operations[1].start + Duration(1);
  late.operations[1].end = late.operations[1].end + Duration(1);
  late.finish = late.operations[1].end;
  late.makespan = late.finish - late.start;
  late.status = plan::Schedule::Status::feasible;
  REQUIRE(check(work, late).size() == 1);
  CHECK(check(work, late).front().message == "bake (unit 1) begins while nobody is there to begin it");
}

TEST_CASE("a station that went cold is switched on when somebody is there", "[schedule]") {
  plan::Work work = one_person_from_nine_to_five();
  work.units = 1;
  const auto at = [](int hour, int minute) { return Instant(hour * 3600 + minute * 60); };
  work.hours = {{at(17, 20), at(17, 30)}, {at(24 + 8, 30), at(24 + 12, 30)}, {at(24 + 13, 30), at(24 + 17, 30)}};
  work.start = at(17, 20);
  work.resources.push_back({ResourceId("cup"), "cup", plan::Resource::Kind::station, 1, {}, {}, {}, true});
  work.resources.back().warm_up = minutes(45);
  plan::Step bake;
  bake.id = StepId("bake");
  bake.timing.setup = minutes(2);
  bake.timing.unattended = minutes(120);
  bake.timing.uses = {{ResourceId("cup"), 1, true, {}, {}}};
  work.steps.push_back(bake);
  plan::Schedule made = schedule::solve(work, quick());
  CHECK(check(work, made).empty());
  CHECK(made.status == plan::Schedule::Status::optimal);
  REQUIRE(made.operations.size() == 1);
  CHECK(made.operations[0].start == at(24 + 9, 15));
  CHECK(made.operations[0].because == "'cup' warms up for 45 min");
  // At 8:30 nobody has switched it on.
  plan::Operation& op = made.operations[0];
  for (Instant* moment : {&op.start, &op.hands_end, &op.end, &made.finish}) *moment = *moment - minutes(45);
  made.makespan = made.finish - made.start;
  made.bound = made.makespan;
  REQUIRE(check(work, made).size() == 1);
  CHECK(check(work, made)[0].message == "bake (unit 1) needs cup warm, and nobody is there to switch it on");
  // Over a noon break it stands warm for as long as it stays so by itself.
  work.hours.erase(work.hours.begin());
  work.hours[0].open = work.start = at(24 + 12, 0);
  CHECK(schedule::solve(work, quick()).operations[0].start == at(24 + 14, 15));
  work.resources.back().stays_warm = minutes(15);
  made = schedule::solve(work, quick());
  CHECK(check(work, made).empty());
  CHECK(made.operations[0].start == at(24 + 13, 30));
  CHECK(made.operations[0].because == "the shop opens; 'cup' is switched on 1 h before");
  work.hours.erase(work.hours.begin());
  CHECK(schedule::solve(work, quick()).operations[0].start == at(24 + 14, 15));
}

TEST_CASE("unit 1 is looked at in a later step before the others follow", "[schedule]") {
  plan::Work work = one_person_from_nine_to_five();
  work.units = 4;
  work.resources.push_back({ResourceId("oven"), "oven", plan::Resource::Kind::station, 4, {}, {}, {}, true});
  for (const char* id : {"reflow", "look"}) {
    plan::Step step;
    step.id = StepId(id);
    step.timing.setup = minutes(id[0] == 'r' ? 3 : 1);
    step.timing.run = minutes(id[0] == 'r' ? 0 : 2);
    step.timing.unattended = minutes(id[0] == 'r' ? 8 : 0);
    work.steps.push_back(step);
  }
  work.steps[0].timing.uses = {{ResourceId("oven"), 1, true, {}, {}}};
  work.steps[0].timing.first_piece = true;
  work.constraints.push_back({{StepId("reflow"), plan::Edge::end}, {StepId("look"), plan::Edge::start}, Duration(0), {}, plan::Scope::unit, {}, "", "", false, false});
  CHECK(schedule::solve(work, quick()).makespan == minutes(11 + 11 + 9));
  work.looks.push_back({StepId("look"), StepId("reflow"), {}});
  work.looks.back().reason.text = "the joints are seen first";
  for (const bool alone : {true, false}) {
    work.steps[1].timing.first_alone = alone;
    const plan::Schedule made = schedule::solve(work, quick());
    CHECK(check(work, made).empty());
    CHECK(made.status == plan::Schedule::Status::optimal);
    // 1 in the oven, looked at, the rest in the oven, and looked at in one go or, cut by one size for all, unit by unit.
    CHECK(made.makespan == minutes(11 + 3 + 11 + (alone ? 7 : 9)));
    if (!alone) continue;
    REQUIRE(made.operations.size() == 4);
    CHECK(made.operations[2].step == StepId("reflow"));
    CHECK(made.operations[2].because.find("'look' of unit 1") != std::string::npos);
    plan::Schedule soon = made;
    soon.operations[2].start = soon.operations[2].start + minutes(-1);
    soon.operations[2].hands_end = soon.operations[2].hands_end + minutes(-1);
    soon.operations[2].end = soon.operations[2].end + minutes(-1);
    const auto findings = check(work, soon);
    CHECK(std::any_of(findings.begin(), findings.end(), [](const plan::Finding& f) { return f.rule.text == "schedule-first-piece"; }));
  }
  // A latest end that leaves no time for the look clashes with it, and says so.
  work.constraints.push_back({{StepId("reflow"), plan::Edge::end}, {StepId("look"), plan::Edge::end}, Duration(0), minutes(2), plan::Scope::unit, {}, "", "", false, false});
  work.constraints.back().reason.text = "hot";
  CHECK(schedule::solve(work, quick()).status == plan::Schedule::Status::infeasible);
}

TEST_CASE("shop hours agree with going second by second", "[schedule][twin]") {
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    samples::Dice dice(seed);
    std::vector<plan::Interval> spans;
    std::vector<bool> open(80, false);
    for (int at = dice.roll(0, 3); at < 60;) {
      const int close = at + dice.roll(1, 8);
      spans.push_back({Instant(at), Instant(close)});
      for (int t = at; t < close; ++t) open[static_cast<std::size_t>(t)] = true;
      at = close + dice.roll(1, 6);
    }
    const ShopHours hours(spans, Instant(0));
    const auto end = [&](Time start, Time length, bool pause) -> Time {
      if (length == 0) return start;
      Time left = length;
      for (Time t = start; t < 80; ++t) {
        const bool is_open = open[static_cast<std::size_t>(t)];
        if (!is_open && (t == start || !pause)) return -1;
        if (is_open && --left == 0) return t + 1;
      }
      return -1;
    };
    for (Time length = 0; length <= 9; ++length) {
      for (const bool pause : {false, true}) {
        for (Time at = 0; at < 70; ++at) {
          Time first = kNever, last = -1, last_for_end = -1;
          for (Time s = at; s < 80 && first == kNever; ++s) first = end(s, length, pause) >= 0 ? s : kNever;
          for (Time s = 0; s <= at; ++s) {
            const Time e = end(s, length, pause);
            if (e >= 0) last = s;
            if (e >= 0 && e <= at) last_for_end = s;
          }
          CAPTURE(seed, length, pause, at);
          if (hours.start_from(at, length, pause) != first) FAIL("start_from");
          if (hours.start_until(at, length, pause) != last) FAIL("start_until");
          if (hours.start_for_end(at, length, pause) != last_for_end) FAIL("start_for_end");
          {
          const auto there = [&](Time t) { return open[static_cast<std::size_t>(t)] || (t > 0 && open[static_cast<std::size_t>(t - 1)]); };
          Time last_there = at;
          while (last_there >= 0 && !there(last_there)) --last_there;
          if (hours.attended_until(at) != last_there) FAIL("attended_until");
        }
        if (first == at && hours.end_of(at, length, pause) != end(at, length, pause)) FAIL("end_of");
        }
      }
    }
  }
}

namespace {

/// The most cells of a rows-by-columns cut that lie on the tray, tried for every two-block cut on a fine
/// ruler.
int boards_by_trying(double w, double d, double bw, double bd, double gap, bool turn) {
  const auto row = [&](double room, double board) {
    int n = 0;
    while ((n + 1) * board + n * gap <= room + 1e-6) ++n;
    return n;
  };
  int most = row(w, bw) * row(d, bd);
  if (!turn) return most;
  for (const bool swap : {false, true}) {
    const double x = swap ? bd : bw, y = swap ? bw : bd;
    for (int n = 0; n <= row(w, x); ++n) {
      const double left = w - n * (x + gap);
      most = std::max(most, n * row(d, y) + std::max(0, row(left, y)) * row(d, x));
    }
    for (int n = 0; n <= row(d, y); ++n) {
      const double left = d - n * (y + gap);
      most = std::max(most, n * row(w, x) + std::max(0, row(left, x)) * row(w, y));
    }
  }
  return most;
}

}  // namespace

TEST_CASE("boards on a tray, counted and tried", "[schedule][twin]") {
  const auto fit = [](double w, double d, double bw, double bd, double gap, bool turn) {
    return boards_that_fit(Millimetres(w), Millimetres(d), Millimetres(bw), Millimetres(bd), Millimetres(gap),
                           turn);
  };
  CHECK(fit(200, 150, 60, 60, 5, false) == 6);  // 3 x 60 + 2 x 5 = 190; 2 x 60 + 5 = 125
  CHECK(fit(190, 125, 60, 60, 5, false) == 6);  // to the millimetre
  CHECK(fit(189.9, 125, 60, 60, 5, false) == 4);
  CHECK(fit(100, 100, 120, 40, 5, true) == 0);
  CHECK(fit(100, 130, 120, 40, 5, true) == 2);
  CHECK(fit(0, 0, 10, 10, 0, true) == 0);
  for (std::uint64_t seed = 1; seed <= 500; ++seed) {
    samples::Dice dice(seed);
    const double w = dice.roll(50, 400), d = dice.roll(50, 400), bw = dice.roll(20, 120),
                 bd = dice.roll(20, 120), gap = dice.roll(0, 12);
    const bool turn = dice.one_in(2);
    CAPTURE(w, d, bw, bd, gap, turn);
    const int count = fit(w, d, bw, bd, gap, turn);
    CHECK(count == boards_by_trying(w, d, bw, bd, gap, turn));
    CHECK(count * bw * bd <= w * d);
    CHECK(count == fit(d, w, bd, bw, gap, turn));
  }
}

TEST_CASE("one size forced on a step is never better than the chosen sizes", "[schedule][property][slow]") {
  int forced = 0;
  for (std::uint64_t seed = 2001; forced < 200; ++seed) {
    plan::Work work = samples::small_work(seed, 9);
    if (work.units < 2) continue;
    const plan::Schedule chosen = schedule::solve(work, quick(), seed);
    if (chosen.status != plan::Schedule::Status::optimal) continue;
    ++forced;
    samples::Dice dice(seed);
    const int size = dice.roll(1, work.units);
    for (plan::Step& step : work.steps) {
      if (step.timing.whole_lot || size < step.timing.batch_min ||
          (step.timing.batch_max > 0 && step.timing.batch_max < size))
        continue;
      step.timing.batch_min = step.timing.batch_max = size;
    }
    const plan::Schedule one = schedule::solve(work, quick(), seed);
    if (!one.operations.empty() && one.makespan < chosen.makespan) {
      FAIL(seed << " is better in " << size << "s\n"
                << samples::describe(work, chosen) << samples::describe(work, one));
    }
  }
}

TEST_CASE("same work, same limits, same seed: same schedule", "[schedule][property]") {
  const plan::Work work = samples::forty_steps(3);
  const plan::Schedule one = schedule::solve(work, quick(), 5), two = schedule::solve(work, quick(), 5);
  CHECK(samples::describe(work, one) == samples::describe(work, two));
  REQUIRE(one.operations.size() == two.operations.size());
  for (std::size_t i = 0; i < one.operations.size(); ++i)
    CHECK(one.operations[i].because == two.operations[i].because);
}

TEST_CASE("the largest sub-batch that a clock allows is found and explained", "[schedule]") {
  plan::Work work = samples::forty_steps(30);
  const auto choices = size_choices(work);
  // place-small must begin within 240 min of print-paste's end, whatever stands between: nothing, so the lot
  // is the limit.
  CHECK(choices[1].possible.back() == 30);
  plan::Constraint clock;
  clock.from = {StepId("print-paste"), plan::Edge::end};
  clock.to = {StepId("bake-boards"), plan::Edge::start};
  clock.max = hours(8);
  work.constraints.push_back(clock);
  const auto limited = size_choices(work);
  // (3 + 14k) + (2 + 8k) + 3k minutes of hands within 480: k = 19.
  CHECK(limited[1].possible.back() == 19);
  CHECK(limited[1].limit ==
        "20 at a time need 8 h 25 min of hands before 'bake-boards', which must come within 8 h");
}
