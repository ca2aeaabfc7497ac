#include "pipeline/replan.h"

#include <catch2/catch.hpp>
#include <ctime>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>

#include "pipeline/make_plan.h"
#include "plan/units.h"

using namespace handlot;
using namespace handlot::pipeline;

namespace {

Outcome made(const std::string& file) {
  Request request;
  request.job_file = file;
  request.card_folders = card_folders(request.job_file, {});
  request.want_pictures = false;
  auto outcome = make_plan(request);
  if (!outcome) FAIL(format(outcome.error().front()));
  return std::move(*outcome);
}

Outcome demo(const std::string& name) { return made(std::string(HANDLOT_TOP) + "/jobs/" + name + "/job.xml"); }

/// The tide dial with an oil that soaks from so many minutes on, up to ten.
Outcome oiled(int from_min) {
  namespace fs = std::filesystem;
  const fs::path folder = fs::path(HANDLOT_BUILD) / "replan_test";
  fs::remove_all(folder);
  fs::copy(std::string(HANDLOT_TOP) + "/jobs/tide-dial", folder, fs::copy_options::recursive);
  std::ifstream in(folder / "job.xml");
  std::string text{std::istreambuf_iterator<char>(in), {}};
  const std::string was = "at-least=\"8 min\" at-most=\"10 min\"";
  REQUIRE(text.find(was) != std::string::npos);
  for (auto at = text.find(was); at != std::string::npos; at = text.find(was, at + 1)) text.replace(at, was.size(), fmt::format("at-least=\"{} min\" at-most=\"10 min\"", from_min));
  in.close();
  std::ofstream(folder / "job.xml") << text;
  return made((folder / "job.xml").string());
}

/// The operation of a step that holds a unit.
const plan::Operation* operation(const plan::Schedule& s, const StepId& step, int unit) {
  for (const plan::Operation& o : s.operations) {
    if (o.step == step && plan::takes(o, unit)) return &o;
  }
  return nullptr;
}

/// Every link between two events of one unit, read straight off the operations.
/// With `late`, latest ends are not asked of: some had passed before there was anything to plan.
int broken_links(const plan::Plan& plan, const std::set<int>& scrapped, bool late = false) {
  int broken = 0;
  const auto at = [](const plan::Operation& o, plan::Edge e) { return e == plan::Edge::start ? o.start : o.end; };
  for (const plan::Constraint& c : plan.work.constraints) {
    for (int unit = 1; unit <= plan.head.lot; ++unit) {
      if (scrapped.contains(unit) || c.scope == plan::Scope::lot) continue;
      const plan::Operation *from = operation(plan.schedule, c.from.step, unit), *to = operation(plan.schedule, c.to.step, unit);
      if (from == nullptr || to == nullptr) continue;
      const Duration gap = at(*to, c.to.edge) - at(*from, c.from.edge);
      if (gap < c.min || (!late && c.max && gap > *c.max)) {
        ++broken;
        UNSCOPED_INFO(c.from.step.text << " > " << c.to.step.text << " unit " << unit << ": " << gap.seconds << " s, min " << c.min.seconds << " max " << (c.max ? c.max->seconds : -1) << " edges " << static_cast<int>(c.from.edge) << static_cast<int>(c.to.edge));
      }
    }
  }
  return broken;
}

/// Operations that begin before what is never on beside them has ended, and the air is clear or the tool cold. What was
/// done counts as what is to do; `earlier` are passes that no operation tells of.
int begun_too_soon(const plan::Plan& plan, const std::vector<Done>& earlier = {}) {
  int broken = 0;
  const auto against = [&](const StepId& out, Duration clear, const StepId& next) {
    for (const plan::Operation& b : plan.schedule.operations) {
      if (b.step != next || b.because == "done") continue;
      for (const plan::Operation& a : plan.schedule.operations) broken += a.step == out && &a != &b && a.start <= b.start && b.start < a.end + clear ? 1 : 0;
      for (const Done& a : earlier) broken += a.step == out && b.start < a.end + clear ? 1 : 0;
    }
  };
  for (const plan::NeverTogether& pair : plan.work.apart) {
    against(pair.a, pair.clear_after_a, pair.b);
    against(pair.b, pair.clear_after_b, pair.a);
  }
  return broken;
}

}  // namespace

TEST_CASE("the rest of a half-done lot is planned anew and keeps every link with what was done", "[pipeline]") {
  const bool late = GENERATE(false, true);
  // With a shorter soak the half falls between a wipe and its drying: a "now" that could wait let the drying wait too.
  const Outcome outcome = oiled(late ? 8 : GENERATE(8, 7, 6, 5));
  const plan::Plan& plan = outcome.plan;
  REQUIRE(broken_links(plan, {}) == 0);
  Progress progress;
  const std::size_t half = plan.schedule.operations.size() / 2;
  progress.now = plan.schedule.operations[half].start;
  for (const plan::Operation& o : plan.schedule.operations) {
    if (o.start >= progress.now) continue;  // what is in hand runs to its planned end
    for (int unit = o.first_unit; unit <= o.last_unit; ++unit) progress.done.push_back({o.step, unit, o.start, o.end});
  }
  if (late) progress.now = progress.now + hours(20);  // the builder comes back a day late
  progress.scrapped = {4};
  const std::clock_t before = std::clock();
  const auto next = replan(plan, progress, 2);
  const double took = static_cast<double>(std::clock() - before) / CLOCKS_PER_SEC;
  REQUIRE(next);
  CAPTURE(took, word(next->schedule.status));
  REQUIRE_FALSE(next->schedule.status == plan::Schedule::Status::stopped);
  REQUIRE_FALSE(next->schedule.status == plan::Schedule::Status::infeasible);
  for (const plan::Reason& r : next->schedule.clash) UNSCOPED_INFO("clash: " << r.text);
  if (!late) CHECK(next->schedule.clash.empty());
  CHECK(broken_links(*next, progress.scrapped, late) == 0);
  CHECK(begun_too_soon(*next) == 0);
  for (const plan::Operation& o : next->schedule.operations) {
    if (o.because != "done") CHECK(o.start >= progress.now);
  }
  CHECK(next->head.hash != plan.head.hash);
}

TEST_CASE("a lot that is finished has nothing left to plan", "[pipeline][errors]") {
  const Outcome outcome = demo("crystal-receiver");
  Progress progress;
  progress.now = outcome.plan.schedule.finish;
  for (const plan::Operation& o : outcome.plan.schedule.operations) {
    for (int unit = o.first_unit; unit <= o.last_unit; ++unit) progress.done.push_back({o.step, unit, o.start, o.end});
  }
  const auto next = replan(outcome.plan, progress, 1);
  REQUIRE_FALSE(next);
  CHECK(next.error().front().code == "replan-nothing-left");
}

namespace {

constexpr Instant kMorning(1795075200);  // 2026-11-19 08:00 UTC

plan::Step step(const char* id, Duration run) {
  plan::Step s;
  s.id = StepId(id);
  s.title = id;
  s.timing.run = run;
  return s;
}

plan::Operation operation_of(const char* id, int first, int last, Instant start, Instant end) {
  plan::Operation o;
  o.step = StepId(id);
  o.first_unit = first;
  o.last_unit = last;
  o.start = start;
  o.hands_end = o.end = end;
  return o;
}

/// Four units, glued two at a time: each holds a clamp for an hour after. There are two clamps and one pair of hands.
plan::Plan clamps() {
  plan::Plan p;
  p.head.lot = p.work.units = 4;
  p.work.start = kMorning;
  plan::Resource me, clamp;
  me.id = ResourceId("me");
  me.kind = plan::Resource::Kind::person;
  clamp.id = ResourceId("clamp");
  clamp.kind = plan::Resource::Kind::fixture;
  clamp.capacity = 2;
  p.work.resources = {me, clamp};
  p.work.hours = {{kMorning, kMorning + hours(8)}, {kMorning + hours(24), kMorning + hours(32)}};
  p.work.steps = {step("glue", minutes(5)), step("sand", minutes(10))};
  plan::Use use;
  use.resource = clamp.id;
  use.per_unit = true;
  use.hold_after_end = hours(1);
  p.work.steps[0].timing.uses = {use};
  plan::Constraint link;
  link.from = {StepId("glue"), plan::Edge::end};
  link.to = {StepId("sand"), plan::Edge::start};
  link.min = minutes(60);
  link.max = hours(3);
  link.if_late = "the bead is hard";
  link.reason.text = "the bead is cut while it is soft";
  p.work.constraints = {link};
  p.schedule.start = kMorning;
  p.schedule.operations = {operation_of("glue", 1, 2, kMorning, kMorning + minutes(10)), operation_of("glue", 3, 4, kMorning + minutes(70), kMorning + minutes(80)),
                           operation_of("sand", 1, 2, kMorning + minutes(80), kMorning + minutes(100)), operation_of("sand", 3, 4, kMorning + minutes(140), kMorning + minutes(160))};
  return p;
}

Progress glued(int minutes_ago, Instant now) {
  Progress p;
  p.now = now;
  for (const int unit : {1, 2}) p.done.push_back({StepId("glue"), unit, now - minutes(minutes_ago + 10), now - minutes(minutes_ago)});
  return p;
}

}  // namespace

TEST_CASE("clamps that hold what was glued are not to be had before they let go", "[pipeline]") {
  const plan::Plan plan = clamps();
  const Instant now = kMorning + minutes(20);
  const auto next = replan(plan, glued(10, now), 2);
  REQUIRE(next);
  const auto* glue = operation(next->schedule, StepId("glue"), 3);
  REQUIRE(glue != nullptr);
  CHECK(glue->start == now + minutes(50));
  CHECK(operation(next->schedule, StepId("sand"), 1)->start >= now + minutes(50));
  CHECK(broken_links(*next, {}) == 0);
  CHECK(next->schedule.clash.empty());

  Progress free = glued(10, now);
  plan::Plan loose = plan;
  loose.work.steps[0].timing.uses.clear();
  const auto at_once = replan(loose, free, 2);
  CHECK(operation(at_once->schedule, StepId("glue"), 3)->start == now);  // without clamps nothing waits
}

TEST_CASE("hands that are busy begin nothing else", "[pipeline]") {
  plan::Plan plan = clamps();
  plan.work.steps[0].timing.uses.clear();
  const Instant now = kMorning + minutes(20);
  Progress progress = glued(70, now);
  progress.done.push_back({StepId("glue"), 3, now - minutes(1), now + minutes(4), now + minutes(4)});
  const auto next = replan(plan, progress, 2);
  REQUIRE(next);
  for (const plan::Operation& o : next->schedule.operations) {
    if (o.because != "done") CHECK(o.start >= now + minutes(4));
  }
}

TEST_CASE("a latest end that passed while the shop was shut is named, and the rest is planned from the opening", "[pipeline]") {
  const plan::Plan plan = clamps();
  const Instant now = kMorning + hours(20);  // four hours before the shop opens
  const auto next = replan(plan, glued(12 * 60, now), 2);
  REQUIRE(next);
  CHECK(next->schedule.status != plan::Schedule::Status::infeasible);
  CHECK(operation(next->schedule, StepId("sand"), 1)->start >= kMorning + hours(24));
  REQUIRE(next->schedule.clash.size() == 1);
  CHECK(next->schedule.clash.front().text == "sand comes more than 3 h after glue for units 1, 2: the bead is cut while it is soft; if late: the bead is hard");
  CHECK(broken_links(*next, {}, true) == 0);
}

TEST_CASE("a lot that is built later than its job says has shop hours all the same", "[pipeline]") {
  const Outcome outcome = demo("crystal-receiver");
  Progress progress;
  progress.now = outcome.plan.work.start + hours(24 * 400);
  REQUIRE(progress.now > outcome.plan.work.hours.back().close);
  progress.hours = hours_from(outcome.job, outcome.plan.work, progress.now);
  const auto next = replan(outcome.plan, progress, 5);
  REQUIRE(next);
  CHECK((next->schedule.status == plan::Schedule::Status::optimal || next->schedule.status == plan::Schedule::Status::feasible));
  CHECK(broken_links(*next, {}) == 0);
}

namespace {

/// Oven, test and case of one unit: the board in the case, which the oven would melt. The middle link implies the outer one.
plan::Plan cased() {
  plan::Plan p = clamps();
  p.head.lot = p.work.units = 1;
  p.work.steps = {step("reflow", minutes(5)), step("test", minutes(5)), step("fit", minutes(5))};
  p.work.steps[0].process = "reflow";
  plan::Resource oven;
  oven.id = ResourceId("oven");
  p.work.resources.push_back(oven);
  plan::Use use;
  use.resource = oven.id;
  p.work.steps[0].timing.uses = {use};
  const auto link = [](const char* from, const char* to, bool redundant) {
    plan::Constraint c;
    c.from = {StepId(from), plan::Edge::end};
    c.to = {StepId(to), plan::Edge::start};
    c.reason.text = "the case melts";
    c.redundant = redundant;
    return c;
  };
  p.work.constraints = {link("reflow", "test", false), link("test", "fit", false), link("reflow", "fit", true)};
  p.schedule.operations = {operation_of("reflow", 1, 1, kMorning, kMorning + minutes(5)), operation_of("test", 1, 1, kMorning + minutes(5), kMorning + minutes(10)),
                           operation_of("fit", 1, 1, kMorning + minutes(10), kMorning + minutes(15))};
  return p;
}

}  // namespace

TEST_CASE("a link that others imply stands alone when the step between is done", "[pipeline]") {
  const plan::Plan plan = cased();
  Progress progress;
  progress.now = kMorning + minutes(20);
  progress.done = {{StepId("test"), 1, kMorning + minutes(5), kMorning + minutes(10), {}}};
  progress.away[ResourceId("oven")] = hours(1);
  const auto next = replan(plan, progress, 2);
  REQUIRE(next);
  CHECK(operation(next->schedule, StepId("reflow"), 1)->start >= progress.now + hours(1));
  CHECK(operation(next->schedule, StepId("fit"), 1)->start >= operation(next->schedule, StepId("reflow"), 1)->end);
}

TEST_CASE("nothing is planned for hands that are not to be had", "[pipeline]") {
  plan::Plan plan = cased();
  Progress progress;
  progress.now = kMorning;
  progress.away[ResourceId("me")] = hours(2);
  CHECK(operation(replan(plan, progress, 2)->schedule, StepId("reflow"), 1)->start >= kMorning + hours(2));
  plan::Resource other;
  other.id = ResourceId("other");
  other.kind = plan::Resource::Kind::person;
  plan.work.resources.push_back(other);
  SECTION("somebody else is there") {
    const auto next = replan(plan, progress, 2);
    const auto* reflow = operation(next->schedule, StepId("reflow"), 1);
    CHECK(reflow->start == kMorning);
    CHECK(reflow->people == std::vector<ResourceId>{other.id});
  }
  SECTION("and may not do it") {
    plan.work.steps[2].timing.people = {ResourceId("me")};
    const auto next = replan(plan, progress, 2);
    CHECK(operation(next->schedule, StepId("test"), 1)->start == kMorning + minutes(5));
    CHECK(operation(next->schedule, StepId("fit"), 1)->start >= kMorning + hours(2));
  }
}

TEST_CASE("a board that was in the oven once has no clock of paste any more", "[pipeline]") {
  plan::Plan plan = cased();
  plan.work.steps.push_back(step("print", minutes(5)));
  plan::Constraint dries = plan.work.constraints[0];
  dries.from = {StepId("print"), plan::Edge::start};
  dries.to = {StepId("reflow"), plan::Edge::start};
  dries.max = hours(1);
  dries.reason.kind = plan::ReasonKind::paste;
  plan.work.constraints.push_back(dries);
  plan.schedule.operations.push_back(operation_of("print", 1, 1, kMorning - minutes(10), kMorning - minutes(5)));
  Progress progress;
  progress.now = kMorning + hours(3);
  progress.done = {{StepId("print"), 1, kMorning - minutes(10), kMorning - minutes(5), {}}};
  CHECK(replan(plan, progress, 2)->schedule.clash.size() == 1);
  progress.earlier = {{StepId("reflow"), 1, kMorning, kMorning + minutes(5), {}}};  // and to be done again
  CHECK(replan(plan, progress, 2)->schedule.clash.empty());
}

TEST_CASE("good units do not wait for one that is done again", "[pipeline]") {
  plan::Plan plan;
  plan.head.lot = plan.work.units = 3;
  plan.work.start = plan.schedule.start = kMorning;
  plan::Resource me;
  me.id = ResourceId("me");
  me.kind = plan::Resource::Kind::person;
  plan.work.resources = {me};
  plan.work.hours = {{kMorning, kMorning + hours(8)}};
  plan.work.steps = {step("solder", minutes(5)), step("dry", minutes(0)), step("test", minutes(10))};
  plan.work.steps[1].timing.hands_on = false;
  plan.work.steps[1].timing.unattended = hours(3);
  for (const auto& [before, after] : {std::pair("solder", "dry"), std::pair("dry", "test")}) {
    plan::Constraint link;
    link.from = {StepId(before), plan::Edge::end};
    link.to = {StepId(after), plan::Edge::start};
    plan.work.constraints.push_back(link);
  }
  const Instant now = kMorning + hours(4);
  plan.schedule.operations = {operation_of("solder", 1, 3, kMorning, kMorning + minutes(15)), operation_of("dry", 1, 3, kMorning + minutes(15), kMorning + minutes(195)),
                              operation_of("test", 1, 3, now, now + minutes(30))};
  Progress progress;
  progress.now = now;
  for (const int unit : {1, 2, 3}) {
    for (const auto& [id, from, to] : {std::tuple("solder", 0, 15), std::tuple("dry", 15, 195)}) {
      (unit == 2 ? progress.earlier : progress.done).push_back({StepId(id), unit, kMorning + minutes(from), kMorning + minutes(to), {}});
    }
  }
  const auto next = replan(plan, progress, 2);
  REQUIRE(next);
  CHECK(broken_links(*next, {}) == 0);
  CHECK(operation(next->schedule, StepId("test"), 1)->last_unit == 1);
  CHECK(operation(next->schedule, StepId("test"), 3)->start < operation(next->schedule, StepId("test"), 2)->start);
  CHECK(next->schedule.finish == now + minutes(5 + 180 + 10));
  // Where all are as far as each other they stay together.
  progress.earlier.clear();
  for (const char* id : {"solder", "dry"}) progress.done.push_back({StepId(id), 2, kMorning, kMorning + minutes(195), {}});
  const auto together = replan(plan, progress, 2);
  REQUIRE(together);
  CHECK(operation(together->schedule, StepId("test"), 1)->last_unit == 3);
}

namespace {

/// One unit: it was in the oven, and is oiled in the same room and goes through the oven once more.
plan::Plan oiled_by_the_oven() {
  plan::Plan plan = cased();
  plan.work.steps = {step("reflow", minutes(5)), step("oil", minutes(5)), step("bake", minutes(5))};
  plan.work.resources.back().warm_up = minutes(30);
  plan.work.resources.back().stays_warm = minutes(20);
  plan::Use use;
  use.resource = plan.work.resources.back().id;
  plan.work.steps[0].timing.uses = plan.work.steps[2].timing.uses = {use};
  plan.work.constraints.clear();
  for (const char* hot : {"reflow", "bake"}) {
    plan::NeverTogether pair;
    pair.a = StepId(hot);
    pair.b = StepId("oil");
    pair.clear_after_a = minutes(10);
    pair.clear_after_b = minutes(90);
    pair.reason.text = "vapour that lights and a hot tool are never open together";
    plan.work.apart.push_back(pair);
  }
  plan.schedule.operations = {operation_of("reflow", 1, 1, kMorning, kMorning + minutes(5)), operation_of("oil", 1, 1, kMorning + minutes(15), kMorning + minutes(20)),
                              operation_of("bake", 1, 1, kMorning + minutes(110), kMorning + minutes(115))};
  return plan;
}

}  // namespace

TEST_CASE("vapour is not planned beside what is still hot, nor heat into air that is not clear", "[pipeline]") {
  plan::Plan plan = oiled_by_the_oven();
  plan::Constraint order;
  order.from = {StepId("oil"), plan::Edge::end};
  order.to = {StepId("bake"), plan::Edge::start};
  plan.work.constraints = {order};
  Progress progress;
  progress.now = kMorning + minutes(8);
  const Done hot{StepId("reflow"), 1, kMorning, kMorning + minutes(5), {}};
  progress.done = {hot};
  SECTION("done") {
    const auto next = replan(plan, progress, 2);
    REQUIRE(next);
    CHECK(operation(next->schedule, StepId("oil"), 1)->start == kMorning + minutes(15));
    CHECK(operation(next->schedule, StepId("bake"), 1)->start == kMorning + minutes(110));
    CHECK(begun_too_soon(*next) == 0);
    CHECK(operation(next->schedule, StepId("oil"), 1)->because.find("vapour that lights") != std::string::npos);
  }
  SECTION("in hand") {
    progress.done.front().end = progress.now + minutes(12);
    const auto next = replan(plan, progress, 2);
    CHECK(operation(next->schedule, StepId("oil"), 1)->start == progress.now + minutes(22));
  }
  SECTION("done on a unit that is scrapped since") {
    plan.head.lot = plan.work.units = 2;
    for (plan::Operation& o : plan.schedule.operations) o.last_unit = 2;
    progress.done.push_back({StepId("reflow"), 2, kMorning, kMorning + minutes(1), {}});
    progress.scrapped = {1};
    CHECK(operation(replan(plan, progress, 2)->schedule, StepId("oil"), 2)->start == kMorning + minutes(15));
  }
  SECTION("done, and to be done again") {
    plan.work.constraints.front().to.step = StepId("reflow");
    progress.earlier = {hot};
    progress.done.clear();
    const auto next = replan(plan, progress, 2);
    CHECK(operation(next->schedule, StepId("oil"), 1)->start >= kMorning + minutes(15));
    CHECK(begun_too_soon(*next, progress.earlier) == 0);
  }
  SECTION("long ago") {
    progress.now = kMorning + minutes(15);
    CHECK(operation(replan(plan, progress, 2)->schedule, StepId("oil"), 1)->start == progress.now);
  }
  SECTION("the air of a coat that is done") {
    progress.done.push_back({StepId("oil"), 1, kMorning - hours(1), kMorning, {}});
    CHECK(operation(replan(plan, progress, 2)->schedule, StepId("bake"), 1)->start == kMorning + minutes(90));
  }
}

TEST_CASE("an oven that is still warm is not planned to warm up again", "[pipeline]") {
  plan::Plan plan = oiled_by_the_oven();
  plan.work.apart.clear();
  Progress progress;
  progress.done = {{StepId("reflow"), 1, kMorning, kMorning + minutes(5), {}}, {StepId("oil"), 1, kMorning, kMorning + minutes(5), {}}};
  const auto baked = [&](Instant now) {
    progress.now = now;
    const auto next = replan(plan, progress, 2);
    REQUIRE(next);
    return operation(next->schedule, StepId("bake"), 1)->start;
  };
  CHECK(baked(kMorning + minutes(8)) == kMorning + minutes(8));
  CHECK(baked(kMorning + minutes(25)) == kMorning + minutes(25));  // warm until then
  CHECK(baked(kMorning + minutes(26)) == kMorning + minutes(56));
  progress.done.front().end = kMorning + minutes(40);  // in hand
  CHECK(baked(kMorning + minutes(26)) == kMorning + minutes(40));
}

namespace {

plan::Constraint latest(const char* from, plan::Edge edge, const char* to, Duration max, plan::ReasonKind kind) {
  plan::Constraint c;
  c.from = {StepId(from), edge};
  c.to = {StepId(to), plan::Edge::start};
  c.max = max;
  c.spoils = true;
  c.reason.kind = kind;
  return c;
}

/// Two boards: printed, looked at, parts placed, melted within 8 h of the print. Each is a unit by itself.
plan::Plan printed() {
  plan::Plan p = clamps();
  p.head.lot = p.work.units = 2;
  p.work.steps = {step("print", minutes(10)), step("look", minutes(1)), step("place", minutes(20)), step("reflow", minutes(5)), step("case", minutes(5))};
  p.work.steps[3].process = "reflow";
  for (plan::Step& s : p.work.steps) s.timing.batch_max = 1;
  p.work.constraints = {latest("print", plan::Edge::start, "reflow", hours(8), plan::ReasonKind::paste)};
  p.work.constraints.back().reason.text = "printed paste dries";
  p.work.constraints.back().if_late = "wash the board and print it again";
  for (const auto& [from, to] : {std::pair("print", "look"), std::pair("print", "place"), std::pair("place", "reflow"), std::pair("reflow", "case")}) {
    plan::Constraint c;
    c.from = {StepId(from), plan::Edge::end};
    c.to = {StepId(to), plan::Edge::start};
    p.work.constraints.push_back(c);
  }
  p.schedule.operations.clear();
  Instant at = kMorning;
  for (const plan::Step& s : p.work.steps) {
    for (const int unit : {1, 2}) {
      p.schedule.operations.push_back(operation_of(s.id.text.c_str(), unit, unit, at, at + s.timing.run));
      at = at + s.timing.run;
    }
  }
  return p;
}

/// Both are printed and placed, the first print so long ago and the second so much later.
Progress placed(Duration ago, Duration later, Instant now) {
  Progress p;
  p.now = now;
  p.rests_on[StepId("print")] = {StepId("look"), StepId("place"), StepId("reflow"), StepId("case")};
  for (const int unit : {1, 2}) {
    Instant at = now + -ago + (unit == 2 ? later : Duration(0));
    for (const auto& [id, run] : {std::pair("print", 10), std::pair("look", 1), std::pair("place", 20)}) {
      p.done.push_back({StepId(id), unit, at, at + minutes(run), {}});
      at = at + minutes(run);
    }
  }
  return p;
}

bool is_new(const plan::Schedule& s, const char* step, int unit) {
  const auto* o = operation(s, StepId(step), unit);
  return o != nullptr && o->because != "done";
}

}  // namespace

TEST_CASE("dried paste is not planned into the oven but printed again, with all that stands in it", "[pipeline]") {
  const plan::Plan plan = printed();
  const Instant now = kMorning + hours(1);
  const auto next = replan(plan, placed(hours(20), Duration(0), now), 2);
  REQUIRE(next);
  for (const int unit : {1, 2}) {
    for (const char* id : {"print", "look", "place", "reflow", "case"}) CHECK(is_new(next->schedule, id, unit));
  }
  CHECK(broken_links(*next, {}) == 0);
  REQUIRE(next->schedule.clash.size() == 1);
  CHECK(next->schedule.clash.front().text == "reflow can't come within 8 h after print for units 1, 2: printed paste dries; wash the board and print it again; print is planned again for "
                                             "them: say in the record that it is done again");
}

TEST_CASE("paste that is good yet goes into the oven as it is", "[pipeline]") {
  const plan::Plan plan = printed();
  const Instant now = kMorning + hours(1);
  const auto next = replan(plan, placed(hours(7) + minutes(55), Duration(0), now), 2);
  REQUIRE(next);
  for (const int unit : {1, 2}) CHECK_FALSE(is_new(next->schedule, "print", unit));
  CHECK(broken_links(*next, {}) == 0);
  CHECK(next->schedule.clash.empty());
  // A minute too long, for one of them.
  const auto one = replan(plan, placed(hours(8) + minutes(1), hours(1), now), 2);
  CHECK(is_new(one->schedule, "print", 1));
  CHECK_FALSE(is_new(one->schedule, "print", 2));
  CHECK(broken_links(*one, {}) == 0);
}

TEST_CASE("paste that dries while the shop is shut is printed again", "[pipeline]") {
  const plan::Plan plan = printed();
  const auto next = replan(plan, placed(hours(2), Duration(0), kMorning + hours(9)), 2);
  REQUIRE(next);
  CHECK(is_new(next->schedule, "print", 1));
  CHECK(broken_links(*next, {}) == 0);
}

TEST_CASE("where the hands are in time for one board only, the other is printed again", "[pipeline]") {
  plan::Plan plan = printed();
  const Instant now = kMorning + hours(1);
  Progress progress = placed(hours(7) + minutes(40), minutes(5), now);
  std::erase_if(progress.done, [](const Done& d) { return d.step == StepId("place"); });
  const auto next = replan(plan, progress, 2);
  REQUIRE(next);
  CHECK(is_new(next->schedule, "print", 1) != is_new(next->schedule, "print", 2));
  CHECK(broken_links(*next, {}) == 0);
  CHECK(next->schedule.clash.size() == 1);
}

TEST_CASE("time that only a clock claims dries paste too", "[pipeline]") {
  const plan::Plan plan = printed();
  Progress progress = placed(hours(1), Duration(0), kMorning + hours(1));
  CHECK_FALSE(is_new(replan(plan, progress, 2)->schedule, "print", 1));
  for (Done& d : progress.done) d.unseen_start = d.unit == 1 ? hours(14) : Duration(0);
  const auto next = replan(plan, progress, 2);
  CHECK(is_new(next->schedule, "print", 1));
  CHECK_FALSE(is_new(next->schedule, "print", 2));
}

TEST_CASE("a wish, and a latest end that spoils nothing, make nothing to be done again", "[pipeline]") {
  plan::Plan plan = printed();
  plan.work.constraints.front().wish = plan.work.constraints.front().spoils = GENERATE(true, false);
  const auto next = replan(plan, placed(hours(20), Duration(0), kMorning + hours(1)), 2);
  REQUIRE(next);
  CHECK_FALSE(is_new(next->schedule, "print", 1));
  CHECK(next->schedule.clash.size() == 1);
}

TEST_CASE("a mix past its pot life is mixed anew for those that need it, and what was glued with it stays", "[pipeline]") {
  plan::Plan plan = clamps();
  plan.work.steps = {step("mix", minutes(5)), step("glue", minutes(5)), step("pot", minutes(5))};
  plan.work.steps[0].timing.whole_lot = true;
  plan.work.constraints = {latest("mix", plan::Edge::end, "glue", minutes(60), plan::ReasonKind::clock), latest("mix", plan::Edge::end, "pot", minutes(60), plan::ReasonKind::clock)};
  plan.schedule.operations = {operation_of("mix", 1, 4, kMorning, kMorning + minutes(5)), operation_of("glue", 1, 4, kMorning + minutes(5), kMorning + minutes(25)),
                              operation_of("pot", 1, 4, kMorning + minutes(25), kMorning + minutes(45))};
  Progress progress;
  progress.now = kMorning + hours(3);
  progress.rests_on[StepId("mix")] = {StepId("glue"), StepId("pot")};
  for (const int unit : {1, 2, 3, 4}) {
    progress.done.push_back({StepId("mix"), unit, kMorning, kMorning + minutes(5), {}});
    progress.done.push_back({StepId("glue"), unit, kMorning + minutes(5), kMorning + minutes(25), {}});
    if (unit < 3) progress.done.push_back({StepId("pot"), unit, kMorning + minutes(25), kMorning + minutes(45), {}});
  }
  const auto next = replan(plan, progress, 2);
  REQUIRE(next);
  CHECK(is_new(next->schedule, "mix", 3));
  CHECK_FALSE(is_new(next->schedule, "mix", 2));
  CHECK_FALSE(is_new(next->schedule, "glue", 3));
  const Instant mixed = operation(next->schedule, StepId("mix"), 3)->end, potted = operation(next->schedule, StepId("pot"), 4)->start;
  CHECK((mixed <= potted && potted <= mixed + minutes(60)));
  REQUIRE(next->schedule.clash.size() == 1);
  CHECK(next->schedule.clash.front().text.find("for units 3, 4") != std::string::npos);
}

TEST_CASE("what the calendar ends is kept, and named where it is over", "[pipeline]") {
  plan::Plan plan = printed();
  plan::Wait wait;
  wait.to = {StepId("reflow"), plan::Edge::start};
  wait.what = "floor life of U1";
  wait.if_late = "bake it";
  const Instant now = kMorning + hours(1);
  wait.latest = now + minutes(12);
  plan.waits = {wait};
  const auto kept = replan(plan, placed(hours(2), Duration(0), now), 2);
  for (const int unit : {1, 2}) CHECK(operation(kept->schedule, StepId("reflow"), unit)->start <= now + minutes(12));
  CHECK(kept->schedule.clash.empty());
  plan.waits.front().latest = now - minutes(1);
  const auto over = replan(plan, placed(hours(2), Duration(0), now), 2);
  REQUIRE(over->schedule.clash.size() == 1);
  CHECK(over->schedule.clash.front().text == "floor life of U1 is over when reflow comes for units 1, 2: bake it");
}

TEST_CASE("an operation planned anew names no unit that is scrapped or further, and no name of the planner's own", "[pipeline]") {
  plan::Plan plan = clamps();
  plan.head.lot = plan.work.units = 6;
  plan.work.resources[1].capacity = 6;
  plan.schedule.operations = {operation_of("glue", 1, 6, kMorning, kMorning + minutes(30)), operation_of("sand", 1, 6, kMorning + minutes(90), kMorning + minutes(150))};
  Progress progress;
  progress.now = kMorning + minutes(40);
  progress.scrapped = {4};
  for (const int unit : {1, 2, 3, 4, 5, 6}) progress.done.push_back({StepId("glue"), unit, kMorning, kMorning + minutes(30), {}});
  progress.done.push_back({StepId("sand"), 2, kMorning + minutes(30), kMorning + minutes(40), {}});
  const auto next = replan(plan, progress, 2);
  REQUIRE(next);
  const auto* sand = operation(next->schedule, StepId("sand"), 6);
  CHECK(plan::units_in(*sand) == std::vector<int>{1, 3, 5, 6});
  CHECK(operation(next->schedule, StepId("sand"), 4) == nullptr);
  CHECK(operation(next->schedule, StepId("sand"), 2)->because == "done");
  CHECK(sand->because == "50 min after now: the bead is cut while it is soft");
  for (const plan::Operation& o : next->schedule.operations) CHECK(o.because.find('@') == std::string::npos);
}
