#include "samples.h"

#include <fmt/format.h>

#include <algorithm>

namespace handlot::schedule::samples {

using namespace plan;

int Dice::roll(int low, int high) {
  state_ += 0x9E3779B97F4A7C15ULL;
  std::uint64_t z = state_;
  z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
  z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
  z ^= z >> 31;
  return low + static_cast<int>(z % static_cast<std::uint64_t>(high - low + 1));
}

namespace {

constexpr std::int64_t kStart = 1'000'000;

Resource person(const char* id) {
  return {ResourceId(id), id, Resource::Kind::person, 1, {}, {}, {}, false};
}
Resource station(const char* id, int capacity) {
  return {ResourceId(id), id, Resource::Kind::station, capacity, {}, {}, {}, false};
}

void add_shop(Work& work, Dice& dice) {
  work.resources = {person("ann")};
  if (dice.one_in(4)) work.resources.push_back(person("ben"));
  Resource oven = station("oven", dice.roll(1, 3));
  oven.together = true;
  if (dice.one_in(2)) {
    oven.warm_up = Duration(dice.roll(1, 4));
    oven.stays_warm = Duration(dice.roll(0, 3));
  }
  Resource bench = station("bench", 1);
  bench.change_over = Duration(dice.one_in(2) ? dice.roll(1, 2) : 0);
  Resource clamps = station("clamps", dice.roll(1, 3));
  clamps.kind = Resource::Kind::fixture;
  work.resources.insert(work.resources.end(), {oven, bench, clamps});
  std::int64_t at = kStart + (dice.one_in(3) ? dice.roll(0, 4) : 0);
  const bool gaps = !dice.one_in(3);
  for (int i = 0; i < 12; ++i) {
    const std::int64_t length = gaps ? dice.roll(4, 9) : 60;
    work.hours.push_back({Instant(at), Instant(at + length)});
    at += length + dice.roll(1, 6);
  }
}

void add_uses(Step& step, const Work& work, Dice& dice, int number, int steps) {
  Timing& t = step.timing;
  if (dice.one_in(4)) {
    t.uses.push_back({ResourceId("oven"), 1, true, {}, {}});
    t.hands_on = dice.one_in(2);
  } else if (dice.one_in(3)) {
    t.uses.push_back({ResourceId("bench"), 1, false, {}, {}});
    t.material_family = dice.one_in(3) ? "" : dice.one_in(2) ? "oil" : "glue";
  }
  if (dice.one_in(4)) {
    Use use{ResourceId("clamps"), 1, dice.one_in(2), {}, Duration(dice.one_in(2) ? dice.roll(1, 4) : 0)};
    if (number + 1 < steps && dice.one_in(2))
      use.until_start_of = StepId(fmt::format("s{}", dice.roll(number + 2, steps)));
    t.uses.push_back(use);
  }
  if (work.resources[1].kind == Resource::Kind::person && dice.one_in(3)) {
    t.people = {work.resources[static_cast<std::size_t>(dice.roll(0, 1))].id};
  }
}

Step small_step(const Work& work, Dice& dice, int number, int steps) {
  Step step;
  step.id = StepId(fmt::format("s{}", number + 1));
  Timing& t = step.timing;
  t.whole_lot = dice.one_in(6);
  t.setup = Duration(dice.one_in(2) ? dice.roll(1, 2) : 0);
  t.run = Duration(dice.roll(0, 3));
  t.run_per_unit = !dice.one_in(4);
  t.unattended = Duration(dice.one_in(3) ? dice.roll(1, 5) : 0);
  t.hands_on = !dice.one_in(6);
  t.may_pause = dice.one_in(4);
  if (dice.one_in(3)) t.batch_max = dice.roll(1, 2);
  if (t.batch_max != 1 && dice.one_in(8)) t.batch_min = 2;
  if (dice.one_in(5)) {
    t.first_piece = true;
    t.first_piece_check = Duration(dice.roll(0, 2));
  }
  add_uses(step, work, dice, number, steps);
  return step;
}

void add_links(Work& work, Dice& dice) {
  const int steps = static_cast<int>(work.steps.size());
  for (int to = 1; to < steps; ++to) {
    const int links = dice.roll(0, 2);
    for (int i = 0; i < links; ++i) {
      const int from = dice.roll(0, to - 1);
      Constraint c;
      c.from = {work.steps[static_cast<std::size_t>(from)].id, dice.one_in(4) ? Edge::start : Edge::end};
      c.to = {work.steps[static_cast<std::size_t>(to)].id, dice.one_in(6) ? Edge::end : Edge::start};
      c.min = Duration(dice.one_in(2) ? 0 : dice.roll(1, 4));
      if (dice.one_in(3)) c.max = c.min + Duration(dice.roll(0, 9));
      if (c.max && dice.one_in(4)) c.min = Duration(-dice.roll(1, 4));
      c.scope = dice.one_in(4) ? Scope::lot : Scope::unit;
      c.reason.text = fmt::format("link {} of s{}", i + 1, to + 1);
      work.constraints.push_back(c);
    }
  }
  if (steps >= 2 && dice.one_in(4)) {
    NeverTogether pair;
    const int a = dice.roll(1, steps), b = dice.roll(1, steps);
    pair.a = StepId(fmt::format("s{}", a));
    pair.b = StepId(fmt::format("s{}", b));
    pair.clear_after_a = Duration(dice.roll(0, 2));
    pair.clear_after_b = Duration(dice.roll(0, 2));
    pair.reason.text = "fumes";
    work.apart.push_back(pair);
  }
}

/// Steps behind it are looked at on unit 1 before others go in; where one of them is of the whole lot, nothing can keep that.
void add_look(Work& work, Dice& dice) {
  const int steps = static_cast<int>(work.steps.size());
  const int repeat = dice.roll(1, steps - 1), look = dice.roll(repeat + 1, steps);
  const auto step = [&](int number) -> Step& { return work.steps[static_cast<std::size_t>(number - 1)]; };
  if (step(repeat).timing.whole_lot || step(look).timing.whole_lot) return;
  work.looks.push_back({step(look).id, step(repeat).id, {}});
  work.looks.back().reason.text = "looked at first";
  step(repeat).timing.first_piece = true;
  for (int number = repeat + 1; number <= look; ++number) step(number).timing.first_alone = !step(number).timing.whole_lot && !dice.one_in(4);
}

/// By dice of their own, so that all else is as it would be with everybody there. Somebody always is.
void add_absences(Work& work, std::uint64_t seed) {
  Dice dice(seed ^ 0xA5A5);
  if (work.resources[1].kind != Resource::Kind::person || dice.one_in(3)) return;
  Resource& person = work.resources[static_cast<std::size_t>(dice.roll(0, 1))];
  for (const Interval& open : work.hours) {
    const int part = dice.roll(0, 3);  // not at all, all of it, its beginning, its end
    const Instant middle = open.open + Duration((open.close - open.open).seconds / 2);
    if (part > 0) person.away.push_back({part == 3 ? middle : open.open, part == 2 ? middle : open.close});
  }
}

}  // namespace

Work small_work(std::uint64_t seed, int tasks) {
  Dice dice(seed);
  Work work;
  work.start = Instant(kStart);
  work.units = dice.roll(1, 3);
  add_shop(work, dice);
  int left = dice.roll(std::min(tasks, 2), tasks);
  std::vector<int> cost;
  const int most = std::max(1, left / work.units);
  const int steps = dice.roll(1, most);
  for (int i = 0; i < steps; ++i) work.steps.push_back(small_step(work, dice, i, steps));
  add_links(work, dice);
  for (Step& step : work.steps) step.timing.at_start = step.timing.whole_lot && dice.one_in(3);
  if (work.units > 1 && steps > 1 && dice.one_in(4)) add_look(work, dice);
  add_absences(work, seed);
  return work;
}

std::string describe(const Work& work) {
  std::string out = fmt::format("{} units, starts {}\n", work.units, work.start.seconds);
  for (const Resource& r : work.resources) {
    out += fmt::format("  {} x{}{} warm {} stays {} change {}\n", r.id.text, r.capacity,
                       r.together ? " together" : "", r.warm_up.seconds, r.stays_warm.seconds,
                       r.change_over.seconds);
    if (r.used_until) out += fmt::format("    used until {}\n", (*r.used_until - work.start).seconds);
    for (const Interval& a : r.away) out += fmt::format("    away [{},{})\n", a.open.seconds - work.start.seconds, a.close.seconds - work.start.seconds);
  }
  for (const Interval& i : work.hours) {
    out += fmt::format(" [{},{})", i.open.seconds - work.start.seconds, i.close.seconds - work.start.seconds);
  }
  out += '\n';
  for (const Step& s : work.steps) {
    const Timing& t = s.timing;
    out += fmt::format("  {}: {}setup {} run {}{} alone {}{}{} batch {}..{}{} family '{}'", s.id.text,
                       t.whole_lot ? "lot " : "", t.setup.seconds, t.run.seconds,
                       t.run_per_unit ? " each" : "", t.unattended.seconds, t.hands_on ? " hands" : "",
                       t.may_pause ? " pause" : t.at_start ? " now" : "", t.batch_min, t.batch_max,
                       t.first_piece ? fmt::format(" first+{}", t.first_piece_check.seconds) : t.first_alone ? " first" : "",
                       t.material_family);
    for (const ResourceId& p : t.people) out += " by " + p.text;
    for (const Use& u : t.uses) {
      out += fmt::format("; {} {}{}{}{}", u.count, u.resource.text, u.per_unit ? " each" : "",
                         u.until_start_of ? " until " + u.until_start_of->text : "",
                         u.hold_after_end.seconds > 0 ? fmt::format(" +{}", u.hold_after_end.seconds) : "");
    }
    out += '\n';
  }
  const auto edge = [](Edge e) { return e == Edge::start ? "start" : "end"; };
  for (const Constraint& c : work.constraints) {
    out += fmt::format("  {}.{} -> {}.{} [{}, {}]{}\n", c.from.step.text, edge(c.from.edge), c.to.step.text,
                       edge(c.to.edge), c.min.seconds, c.max ? std::to_string(c.max->seconds) : "inf",
                       c.scope == Scope::lot ? " lot" : "");
  }
  for (const LookFirst& l : work.looks) out += fmt::format("  {} of unit 1 before {} of others\n", l.look.text, l.repeat.text);
  for (const NeverTogether& n : work.apart) {
    out += fmt::format("  never {} with {} ({}, {})\n", n.a.text, n.b.text, n.clear_after_a.seconds,
                       n.clear_after_b.seconds);
  }
  return out;
}

std::string describe(const Work& work, const Schedule& schedule) {
  std::string out =
      fmt::format("{}: makespan {} bound {} setups {} {}\n", word(schedule.status), schedule.makespan.seconds,
                  schedule.bound.seconds, schedule.setups, schedule.stopped_by);
  for (const Operation& op : schedule.operations) {
    out += fmt::format("  {:>6} {:>6} {:>6}  {} {}-{} {}\n", (op.start - work.start).seconds,
                       (op.hands_end - work.start).seconds, (op.end - work.start).seconds, op.step.text,
                       op.first_unit, op.last_unit, op.people.empty() ? "" : op.people.front().text);
  }
  return out;
}

}  // namespace handlot::schedule::samples
