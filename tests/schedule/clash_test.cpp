#include "schedule/clash.h"

#include <catch2/catch.hpp>

#include "samples.h"
#include "schedule/check.h"
#include "schedule/faults.h"
#include "schedule/prove.h"
#include "schedule/solve.h"

using namespace handlot;
using namespace handlot::schedule;
using namespace handlot::plan;

namespace {

Step step(const char* id, Duration run, Duration unattended = Duration(0)) {
  Step s;
  s.id = StepId(id);
  s.timing.run = run;
  s.timing.unattended = unattended;
  return s;
}

Constraint link(const char* from, const char* to, Duration min, std::optional<Duration> max,
                const char* why) {
  Constraint c;
  c.from = {StepId(from), Edge::end};
  c.to = {StepId(to), Edge::start};
  c.min = min;
  c.max = max;
  c.reason.text = why;
  return c;
}

/// One person, evenings of three hours, a clamp.
Work evening_work() {
  Work work;
  work.units = 2;
  work.start = Instant(0);
  for (int day = 0; day < 14; ++day) {
    work.hours.push_back({Instant(86400LL * day + 19 * 3600), Instant(86400LL * day + 22 * 3600)});
  }
  work.resources = {{ResourceId("ann"), "Ann", Resource::Kind::person, 1, {}, {}, {}, false},
                    {ResourceId("clamp"), "clamp", Resource::Kind::fixture, 1, {}, {}, {}, false}};
  return work;
}

std::vector<std::string> texts(const std::vector<Reason>& reasons) {
  std::vector<std::string> out;
  for (const Reason& r : reasons) out.push_back(r.text);
  return out;
}

}  // namespace

TEST_CASE("a clock that no evening can keep is named with the hours", "[schedule]") {
  Work work = evening_work();
  work.units = 1;
  work.steps = {step("mix", minutes(60)), step("pour", minutes(150)), step("sand", minutes(20))};
  work.constraints = {link("mix", "pour", Duration(0), minutes(45), "the resin sets in the pot"),
                      link("pour", "sand", hours(12), {}, "it cures overnight")};
  const Schedule made = schedule::solve(work);
  REQUIRE(made.status == Schedule::Status::infeasible);
  CHECK(texts(made.clash) ==
        std::vector<std::string>{"at most 45 min from end of 'mix' to start of 'pour': the resin sets in the pot", "hands-on work lies in the shop hours"});
  REQUIRE_FALSE(made.reliefs.empty());
  CHECK(made.reliefs[0].text == "opening an hour sooner each day");
  CHECK_FALSE(made.reliefs[0].saves);
}

TEST_CASE("the clock of an opened bag lets first boards through before the last ones begin", "[schedule]") {
  // 25 boards, 10 min of hands each, evenings of 3 h; a board is baked within 2 h of being placed, the lot within a week.
  Work work = evening_work();
  work.units = 25;
  work.steps = {step("place", minutes(8)), step("bake", minutes(2), minutes(8))};
  Constraint tack = link("place", "bake", Duration(0), hours(2), "the tack goes");
  Constraint bag = link("place", "bake", Duration(-7 * 86400), hours(7 * 24), "the bag is open");
  tack.from.edge = bag.from.edge = Edge::start;
  bag.scope = Scope::lot;
  work.constraints = {link("place", "bake", Duration(0), {}, "placed, then baked"), tack, bag};
  const Schedule made = schedule::solve(work);
  REQUIRE_FALSE(made.operations.empty());
  CHECK(check(work, made).empty());
  CHECK(made.makespan > hours(24));  // one evening is too short
}

TEST_CASE("a lot that neither the largest nor the smallest sub-batches let through goes with some between", "[schedule]") {
  // 25 runs of the oven outlast the evening; two placings outlast the paste, and so a run of five or nine boards does.
  Work work = evening_work();
  work.units = 25;
  work.resources.push_back({ResourceId("oven"), "oven", Resource::Kind::station, 1, {}, {}, {}, false});
  work.steps = {step("place", minutes(4)), step("bake", Duration(0), minutes(10))};
  work.steps[1].timing.uses.push_back({ResourceId("oven"), 1, false, {}, {}});
  work.steps[1].timing.batch_max = 9;
  Constraint paste = link("place", "bake", Duration(0), minutes(20), "the paste dries");
  paste.from.edge = Edge::start;
  work.constraints = {link("place", "bake", Duration(0), {}, "placed, then baked"), paste};
  work.hours.resize(1);  // this evening
  Limits serial_alone;
  serial_alone.conflicts = 0;
  const Schedule made = schedule::solve(work, serial_alone);
  REQUIRE_FALSE(made.operations.empty());
  CHECK(check(work, made).empty());
}

TEST_CASE("a clash of two clocks and one pair of hands names just these", "[schedule]") {
  Work work = evening_work();
  work.units = 1;
  work.hours = {{Instant(0), Instant(14 * 86400)}};
  work.steps = {step("start", minutes(1)), step("a", minutes(30)), step("b", minutes(30)),
                step("pack", minutes(5))};
  work.constraints = {link("start", "a", Duration(0), minutes(10), "a dries"),
                      link("start", "b", Duration(0), minutes(20), "b dries"),
                      link("a", "pack", Duration(0), {}, "all is packed"),
                      link("b", "pack", Duration(0), {}, "all is packed")};
  const Schedule made = schedule::solve(work);
  REQUIRE(made.status == Schedule::Status::infeasible);
  CHECK(texts(made.clash) ==
        std::vector<std::string>{"at most 10 min from end of 'start' to start of 'a': a dries",
                                 "at most 20 min from end of 'start' to start of 'b': b dries", "nobody does two things at once"});
  REQUIRE_FALSE(made.reliefs.empty());
  CHECK(made.reliefs[0].text == "a second pair of hands");
}

TEST_CASE("one clamp more is costed by the solver", "[schedule]") {
  Work work = evening_work();
  work.hours = {{Instant(0), Instant(14 * 86400)}};
  work.steps = {step("glue", minutes(10))};
  work.steps[0].timing.uses = {{ResourceId("clamp"), 1, true, {}, minutes(90)}};
  work.steps[0].timing.batch_max = 1;
  const Schedule made = schedule::solve(work);
  REQUIRE(made.status == Schedule::Status::optimal);
  CHECK(made.makespan == minutes(110));
  REQUIRE_FALSE(made.reliefs.empty());
  CHECK(made.reliefs[0].text == "one more: clamp");
  CHECK(made.reliefs[0].saves == minutes(90));
}

TEST_CASE("so many more are tried as spare the lot a load", "[schedule]") {
  // A day each time: of 12 units with four places three loads, and two with six; of 24 with nine three, and two with twelve.
  Work work = evening_work();
  work.units = 12;
  work.hours = {{Instant(0), Instant(14 * 86400)}};
  work.resources[1].capacity = 4;
  work.steps = {step("dry", Duration(0), hours(24))};
  work.steps[0].timing.uses = {{ResourceId("clamp"), 1, true, {}, {}}};
  const Schedule made = schedule::solve(work);
  REQUIRE(made.makespan == hours(72));
  REQUIRE(made.reliefs.size() == 1);
  CHECK(made.reliefs[0].text == "two more: clamp");
  work.units = 24;
  work.resources[1].capacity = 9;
  const Schedule larger = schedule::solve(work);
  REQUIRE(larger.makespan == hours(72));
  REQUIRE(larger.reliefs.size() == 1);
  CHECK(larger.reliefs[0].text == "three more: clamp");
  CHECK(larger.reliefs[0].saves == hours(24));
}

TEST_CASE("who else would help is told by what they may do", "[schedule]") {
  Work work = evening_work();
  work.units = 4;
  work.hours = {{Instant(0), Instant(14 * 86400)}};
  work.resources[1] = {ResourceId("bo"), "Bo", Resource::Kind::person, 1, {}, {}, {}, false};
  work.steps = {step("file", minutes(20)), step("pack", minutes(3))};
  work.steps[0].timing.people = {ResourceId("bo")};
  work.steps[0].timing.batch_max = work.steps[1].timing.batch_max = 1;
  work.constraints = {link("file", "pack", Duration(0), {}, "filed before it is packed")};
  const Schedule made = schedule::solve(work);
  REQUIRE_FALSE(made.reliefs.empty());
  CHECK(made.reliefs[0].text == "another person who may do 'file'");
  CHECK(made.reliefs[0].saves == minutes(40));
  for (const Relief& r : made.reliefs) CHECK(r.text.find("pair of hands") == std::string::npos);
  // Where somebody has hours of their own, the saving is that of one who has those of the shop.
  work.steps[0].timing.people.clear();
  work.resources[1].away = work.hours;
  const Schedule alone = schedule::solve(work);
  REQUIRE_FALSE(alone.reliefs.empty());
  CHECK(alone.reliefs[0].text == "another pair of hands, in all shop hours");
}

TEST_CASE("work that cannot be done is answered at once, with the reason", "[schedule][errors]") {
  const auto clash = [](const Work& work) {
    const Schedule made = schedule::solve(work);
    CHECK(made.status == Schedule::Status::infeasible);
    CHECK(check(work, made).empty());
    return made.clash.empty() ? std::string("none") : made.clash[0].text;
  };
  Work work = evening_work();
  work.steps = {step("carve", hours(4))};
  CHECK(clash(work) ==
        "'carve' needs 4 h of hands-on work in one go, and the longest stretch of shop hours is 3 h");
  work.steps[0].timing.may_pause = true;
  CHECK(schedule::solve(work).status == Schedule::Status::optimal);
  work.steps[0].timing.run = hours(100);
  CHECK(clash(work) ==
        "'carve' needs 4 d 4 h of hands-on work, and the calendar has 1 d 18 h of shop hours in all");
  work.steps = {step("glue", minutes(5))};
  work.steps[0].timing.uses = {{ResourceId("clamp"), 3, true, {}, {}}};
  CHECK(clash(work) == "'glue' needs 3 of 'clamp' at once, and there is 1");
  work.steps = {step("glue", minutes(5)), step("test", minutes(5))};
  work.units = 6;
  work.resources[1].capacity = 3;
  work.steps[0].timing.uses = {{ResourceId("clamp"), 1, true, StepId("test"), {}}};
  work.steps[1].timing.batch_min = 6;
  work.constraints = {link("glue", "test", Duration(0), {}, "glued before it is tested")};
  CHECK(clash(work) == "'glue' holds 6 of 'clamp' for the 6 units that begin 'test' together, and there are 3");
  work.steps[1].timing.batch_min = 3;
  CHECK(schedule::solve(work).status != Schedule::Status::infeasible);
  work = evening_work();
  work.steps = {step("glue", minutes(5))};
  work.steps[0].timing.uses = {{ResourceId("vice"), 1, true, {}, {}}};
  CHECK(clash(work) == "'glue' uses 'vice', which the shop has not");
  work = evening_work();
  work.steps = {step("a", minutes(5)), step("b", minutes(5))};
  work.constraints = {link("a", "b", minutes(0), {}, "a carries b"),
                      link("b", "a", minutes(0), {}, "b holds a")};
  const Schedule circle = schedule::solve(work);
  CHECK(
      texts(circle.clash) ==
      std::vector<std::string>{"the links below go round in a circle that asks for 10 min more than there is",
                               "a carries b", "b holds a"});
  work.constraints = {link("a", "b", minutes(9), minutes(5), "odd")};
  CHECK(clash(work) == "'b' must come at least 9 min and at most 5 min after 'a': odd");
  work.constraints.clear();
  work.hours.clear();
  CHECK(clash(work) == "'a' needs 5 min of hands-on work, and the shop is never open");
  work = evening_work();
  work.resources.erase(work.resources.begin());
  work.steps = {step("a", minutes(5))};
  CHECK(clash(work) == "'a' is hands-on work, and the shop has nobody");
}

TEST_CASE("every clash of random works is one, and no part of it is", "[schedule][property]") {
  int clashes = 0;
  for (std::uint64_t seed = 1; seed <= 300; ++seed) {
    const Work work = samples::small_work(seed, 7);
    if (!faults(work).empty()) continue;
    Limits limits;
    limits.reliefs = false;
    const Schedule made = schedule::solve(work, limits, seed);
    if (made.status != Schedule::Status::infeasible) continue;
    ++clashes;
    INFO(seed << "\n" << samples::describe(work));
    REQUIRE_FALSE(made.clash.empty());
    // Without any one of the links named there is a schedule of these links.
    Work named = work;
    std::erase_if(named.constraints, [&](const Constraint& c) {
      return std::none_of(made.clash.begin(), made.clash.end(),
                          [&](const Reason& r) { return r.text == with_figures(c).text; });
    });
    const bool fumes =
        std::any_of(made.clash.begin(), made.clash.end(), [](const Reason& r) { return r.text == "fumes"; });
    if (!fumes) named.apart.clear();
    CHECK(schedule::solve(named, limits, seed).status == Schedule::Status::infeasible);
    for (std::size_t i = 0; i < named.constraints.size(); ++i) {
      Work fewer = named;
      fewer.constraints.erase(fewer.constraints.begin() + static_cast<std::ptrdiff_t>(i));
      CHECK(schedule::solve(fewer, limits, seed).status == Schedule::Status::optimal);
    }
  }
  CHECK(clashes >= 3);
}
