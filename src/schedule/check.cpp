#include "schedule/check.h"

#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "schedule/check_parts.h"

namespace handlot::schedule {

using plan::Operation;

CheckBench::CheckBench(const plan::Work& w, const plan::Schedule& s) : work(w), schedule(s) {
  for (const plan::Step& step : work.steps) steps_.try_emplace(step.id, &step);
  for (const plan::Resource& resource : work.resources) resources_.try_emplace(resource.id, &resource);
  for (const Operation& op : schedule.operations) {
    if (step(op.step) != nullptr) operations_[op.step].push_back(&op);
  }
  for (auto& [id, ops] : operations_) {
    std::stable_sort(ops.begin(), ops.end(), [](auto* a, auto* b) { return a->first_unit < b->first_unit; });
  }
}

void CheckBench::report(const char* rule, const Operation& op, const std::string& message) {
  plan::Finding finding;
  finding.rule = RuleId(rule);
  finding.severity = plan::Severity::stop;
  finding.steps = {op.step};
  for (int unit = op.first_unit; unit <= std::min(op.last_unit, op.first_unit + work.units); ++unit) {
    finding.units.push_back(unit);
  }
  finding.message = fmt::format("{} {}", name_of(op), message);
  findings.push_back(std::move(finding));
}

void CheckBench::report(const char* rule, const std::string& message) {
  plan::Finding finding;
  finding.rule = RuleId(rule);
  finding.severity = plan::Severity::stop;
  finding.message = message;
  findings.push_back(std::move(finding));
}

const plan::Step* CheckBench::step(const StepId& id) const {
  const auto found = steps_.find(id);
  return found == steps_.end() ? nullptr : found->second;
}

const plan::Resource* CheckBench::resource(const ResourceId& id) const {
  const auto found = resources_.find(id);
  return found == resources_.end() ? nullptr : found->second;
}

const std::vector<const Operation*>& CheckBench::of(const StepId& id) const {
  const auto found = operations_.find(id);
  return found == operations_.end() ? none_ : found->second;
}

const Operation* CheckBench::operation(const StepId& id, int unit) const {
  for (const Operation* op : of(id)) {
    if (op->first_unit <= unit && unit <= op->last_unit) return op;
  }
  return nullptr;
}

std::string name_of(const Operation& op) {
  return op.first_unit == op.last_unit
             ? fmt::format("{} (unit {})", op.step.text, op.first_unit)
             : fmt::format("{} (units {} to {})", op.step.text, op.first_unit, op.last_unit);
}

namespace {

/// Sizes from `first` on that differ by one at most, larger ones first, where the same number of runs in the largest size
/// leaves the last one under batch_min.
bool as_equal_as_can_be(const plan::Timing& t, int units, const std::vector<int>& sizes, std::size_t first) {
  const int largest = sizes[first], smallest = sizes.back(), rest = units - static_cast<int>(first);
  if (sizes.size() < first + 2 || largest - smallest > 1 || smallest < t.batch_min) return false;
  if (!std::is_sorted(sizes.rbegin(), sizes.rend() - static_cast<std::ptrdiff_t>(first))) return false;
  const bool together = first == 1 && largest > 1 && units % largest != 1;
  return ((together ? units : rest) - 1) % largest + 1 < t.batch_min;
}

/// The sizes of a step's sub-batches against what its timing allows.
void check_sizes(CheckBench& bench, const plan::Step& step, const std::vector<const Operation*>& ops) {
  const plan::Timing& t = step.timing;
  if (t.whole_lot) {
    if (ops.size() != 1)
      bench.report("schedule-units", *ops.front(), "must be one operation for the whole lot");
    return;
  }
  const bool alone = t.first_piece || t.first_alone;
  const std::size_t first = alone ? 1 : 0;
  if (alone && ops.front()->last_unit != 1) {
    bench.report("schedule-units", *ops.front(), "must have unit 1 alone, the first piece");
  }
  const auto size = [&](std::size_t i) { return ops[i]->last_unit - ops[i]->first_unit + 1; };
  if (ops.size() <= first) return;
  std::vector<int> sizes;
  for (std::size_t i = 0; i < ops.size(); ++i) sizes.push_back(size(i));
  const bool equal = as_equal_as_can_be(t, bench.work.units, sizes, first);
  int whole = size(first);
  if (first == 1 && ops.size() > 2 && (ops.size() > 3 || size(2) > whole)) whole = size(2);
  // The first piece and what follows it may make up one sub-batch together, where that costs no run more.
  const bool together = first == 1 && (ops.size() == 3 || size(1) < whole) && bench.work.units % (size(1) + 1) != 1;
  const auto counted = [&](std::size_t i) { return i == 1 && together ? size(1) + 1 : size(i); };
  for (std::size_t i = first; i < ops.size(); ++i) {
    const bool last = i + 1 == ops.size();
    if (t.batch_max > 0 && size(i) > t.batch_max) {
      bench.report("schedule-units", *ops[i], fmt::format("takes more than {} units", t.batch_max));
    }
    if (!last && counted(i) < t.batch_min) {
      bench.report("schedule-units", *ops[i], fmt::format("takes fewer than {} units", t.batch_min));
    }
    if (equal) continue;
    if (last ? size(i) > whole : size(i) != whole && counted(i) != whole) {
      bench.report("schedule-units", *ops[i], fmt::format("is not of the step's size {}", whole));
    }
  }
}

void check_step_units(CheckBench& bench, const plan::Step& step) {
  const auto& ops = bench.of(step.id);
  int next = 1;
  for (const Operation* op : ops) {
    if (op->first_unit != next || op->last_unit < op->first_unit || op->last_unit > bench.work.units) {
      bench.report("schedule-units", *op, fmt::format("stands where unit {} is due", next));
      return;
    }
    next = op->last_unit + 1;
  }
  if (next != bench.work.units + 1) {
    bench.report("schedule-units", fmt::format("{} ends before unit {}", step.id.text, next));
    return;
  }
  check_sizes(bench, step, ops);
  for (const Operation* op : ops) {
    if (step.timing.at_start && op->start != bench.work.start) bench.report("schedule-start", *op, "must begin when the plan does");
  }
  for (std::size_t i = 0; i + 1 < ops.size(); ++i) {
    if (ops[i + 1]->start < ops[i]->start)
      bench.report("schedule-units", *ops[i + 1], "starts before an earlier unit");
    if (step.timing.first_piece && i == 0 && ops[1]->start < ops[0]->end) {
      bench.report("schedule-first-piece", *ops[1], "starts before the first piece is checked");
    }
  }
}

/// Open seconds of the shop in [from, to).
Duration open_between(const plan::Work& work, Instant from, Instant to) {
  Duration sum{0};
  for (const plan::Interval& hours : work.hours) {
    const Instant open = std::max(hours.open, from), close = std::min(hours.close, to);
    if (open < close) sum += close - open;
  }
  return sum;
}

/// Open seconds in which whoever does it is there; who may not pause is not asked here.
Duration there_between(const CheckBench& bench, const plan::Step& step, const Operation& op, Instant from, Instant to) {
  Duration sum = open_between(bench.work, from, to);
  const plan::Resource* person = op.people.empty() || !step.timing.may_pause ? nullptr : bench.resource(op.people.front());
  if (person == nullptr) return sum;
  for (const plan::Interval& away : person->away) {
    const Instant gone = std::max(away.open, from), back = std::min(away.close, to);
    if (gone < back) sum = sum - open_between(bench.work, gone, back);
  }
  return sum;
}

/// Hands-on work lies in shop hours, and is as long as it says.
void check_hands(CheckBench& bench, const plan::Step& step, const Operation& op) {
  if (op.hands_on.seconds == 0) {
    if (op.hands_end != op.start)
      bench.report("schedule-time", op, "has no hands-on time but hands that end later");
    return;
  }
  const Duration open = there_between(bench, step, op, op.start, op.hands_end);
  const bool begins_open = there_between(bench, step, op, op.start, op.start + Duration(1)).seconds == 1;
  const bool ends_open = there_between(bench, step, op, Instant(op.hands_end.seconds - 1), op.hands_end).seconds == 1;
  if (!begins_open || !ends_open) {
    bench.report("schedule-time", op, "has hands-on work outside shop hours");
  } else if (step.timing.may_pause ? open != op.hands_on
                                   : open != op.hands_on || op.hands_end - op.start != op.hands_on) {
    bench.report("schedule-time", op,
                 fmt::format("has {} s of hands-on work between its start and the hands' end, not {} s",
                             open.seconds, op.hands_on.seconds));
  }
}

/// Somebody is in the shop, or shuts it just then. Where no hours are known it is never shut.
bool attended(const plan::Work& work, Instant at) {
  bool known = false;
  for (const plan::Interval& hours : work.hours) {
    if (hours.close <= hours.open || hours.close <= work.start) continue;
    known = true;
    if (hours.open <= at && at <= hours.close) return true;
  }
  return !known;
}

bool has_station(const CheckBench& bench, const plan::Step& step, const ResourceId& id) {
  const auto& uses = step.timing.uses;
  return bench.resource(id)->kind == plan::Resource::Kind::station &&
         std::any_of(uses.begin(), uses.end(), [&](const plan::Use& use) { return use.resource == id; });
}

/// An operation that it follows ends just then, and it needs no station that that one has not.
bool follows_by_itself(const CheckBench& bench, const plan::Step& step, const Operation& op) {
  for (const plan::Constraint& c : bench.work.constraints) {
    if (c.to.step != op.step || c.from.edge != plan::Edge::end || c.to.edge != plan::Edge::start) continue;
    const bool carried = std::any_of(bench.work.resources.begin(), bench.work.resources.end(), [&](const plan::Resource& r) {
      return has_station(bench, step, r.id) && !has_station(bench, *bench.step(c.from.step), r.id);
    });
    for (const Operation* from : bench.of(c.from.step)) {
      const bool shared = from->first_unit <= op.last_unit && op.first_unit <= from->last_unit;
      if (!carried && from != &op && from->end == op.start && (shared || c.scope == plan::Scope::lot)) return true;
    }
  }
  return false;
}

/// What needs no hands is begun by somebody all the same.
void check_begun(CheckBench& bench, const plan::Step& step, const Operation& op) {
  if (op.hands_on.seconds > 0 || op.end == op.start || step.timing.at_start || step.timing.by_itself) return;
  if (attended(bench.work, op.start) || follows_by_itself(bench, step, op)) return;
  bench.report("schedule-time", op, "begins while nobody is there to begin it");
}

}  // namespace

void check_units(CheckBench& bench) {
  for (const Operation& op : bench.schedule.operations) {
    if (bench.step(op.step) == nullptr)
      bench.report("schedule-units", op, "is of a step that the work has not");
  }
  for (const plan::Step& step : bench.work.steps) check_step_units(bench, step);
}

void check_times(CheckBench& bench) {
  for (const Operation& op : bench.schedule.operations) {
    const plan::Step& step = *bench.step(op.step);
    const plan::Timing& t = step.timing;
    const Duration run = t.run * (t.run_per_unit ? op.last_unit - op.first_unit + 1 : 1);
    const Duration checked = t.first_piece && op.first_unit == 1 ? t.first_piece_check : Duration(0);
    const Duration hands = t.setup + (t.hands_on ? run : Duration(0)) + checked + change_over_of(bench, op);
    const Duration alone = (t.hands_on ? Duration(0) : run) + t.unattended;
    if (op.start < bench.work.start) bench.report("schedule-time", op, "starts before the plan");
    if (op.hands_on != hands) {
      bench.report(
          "schedule-time", op,
          fmt::format("says {} s of hands-on work, which are {} s", op.hands_on.seconds, hands.seconds));
    }
    if (op.end - op.hands_end != alone) {
      bench.report("schedule-time", op,
                   fmt::format("leaves {} s after the hands, which are {} s", (op.end - op.hands_end).seconds,
                               alone.seconds));
    }
    check_hands(bench, step, op);
    check_begun(bench, step, op);
  }
}

namespace {

Instant event_of(const Operation& op, plan::Edge edge) {
  return edge == plan::Edge::start ? op.start : op.end;
}

void check_link(CheckBench& bench, const plan::Constraint& c, const Operation& from, const Operation& to) {
  const Duration lag = event_of(to, c.to.edge) - event_of(from, c.from.edge);
  if (lag < c.min) {
    bench.report("schedule-links", to,
                 fmt::format("comes {} after {}, at least {} is asked: {}", handlot::in_words(lag),
                             name_of(from), handlot::in_words(c.min), c.reason.text));
  }
  if (c.max && lag > *c.max) {
    bench.report("schedule-links", to,
                 fmt::format("comes {} after {}, at most {} is allowed: {}", handlot::in_words(lag),
                             name_of(from), handlot::in_words(*c.max), c.reason.text));
  }
}

/// When a unit of an operation has its own event: hands-on runs per unit are done one after another.
Instant own_event(const CheckBench& bench, const Operation& op, plan::Edge edge, int unit) {
  const plan::Timing& t = bench.step(op.step)->timing;
  const bool in_turn = t.hands_on && t.run_per_unit && (edge == plan::Edge::start || t.unattended.seconds == 0);
  if (!in_turn) return event_of(op, edge);
  return edge == plan::Edge::start ? op.start + t.run * (unit - op.first_unit) : op.end - t.run * (op.last_unit - unit);
}

/// A latest end by the own time of two units.
void check_own_time(CheckBench& bench, const plan::Constraint& c, const Operation& from, int left, const Operation& to, int taken) {
  if (!c.max || event_of(to, c.to.edge) - event_of(from, c.from.edge) > *c.max) return;
  const Duration lag = own_event(bench, to, c.to.edge, taken) - own_event(bench, from, c.from.edge, left);
  if (lag <= *c.max) return;
  bench.report("schedule-links", to,
               fmt::format("comes {} after {} for unit {}, which is done in its turn, at most {} is allowed: {}", handlot::in_words(lag),
                           name_of(from), taken, handlot::in_words(*c.max), c.reason.text));
}

void check_apart(CheckBench& bench, const plan::NeverTogether& pair) {
  for (const Operation* a : bench.of(pair.a)) {
    for (const Operation* b : bench.of(pair.b)) {
      if (a == b) continue;
      const bool a_first = b->start >= a->end + pair.clear_after_a;
      const bool b_first = a->start >= b->end + pair.clear_after_b;
      if (!a_first && !b_first)
        bench.report("schedule-apart", *b, fmt::format("meets {}: {}", name_of(*a), pair.reason.text));
    }
  }
}

/// Of the others none is begun before unit 1 was looked at.
void check_look(CheckBench& bench, const plan::LookFirst& l) {
  const Operation* look = bench.operation(l.look, 1);
  for (const Operation* op : bench.of(l.repeat)) {
    if (op->last_unit > 1 && look != nullptr && op->start < look->end)
      bench.report("schedule-first-piece", *op, fmt::format("starts before unit 1 was looked at in {}: {}", name_of(*look), l.reason.text));
  }
}

}  // namespace

void check_links(CheckBench& bench) {
  for (const plan::Constraint& c : bench.work.constraints) {
    if (c.scope == plan::Scope::unit) {
      for (int unit = 1; unit <= bench.work.units; ++unit) {
        const Operation* from = bench.operation(c.from.step, unit);
        const Operation* to = bench.operation(c.to.step, unit);
        if (from == nullptr || to == nullptr) continue;
        check_link(bench, c, *from, *to);
        check_own_time(bench, c, *from, unit, *to, unit);
      }
    } else {
      for (const Operation* from : bench.of(c.from.step)) {
        for (const Operation* to : bench.of(c.to.step)) {
          check_link(bench, c, *from, *to);
          check_own_time(bench, c, *from, from->first_unit, *to, to->last_unit);
        }
      }
    }
  }
  for (const plan::NeverTogether& pair : bench.work.apart) check_apart(bench, pair);
  for (const plan::LookFirst& l : bench.work.looks) check_look(bench, l);
}

void check_sums(CheckBench& bench) {
  const plan::Schedule& s = bench.schedule;
  Instant finish = s.start;
  Duration hands{0};
  int setups = 0;
  for (const Operation& op : s.operations) {
    finish = std::max(finish, op.end);
    hands += op.hands_on;
    setups += (bench.step(op.step)->timing.setup.seconds > 0 ? 1 : 0) +
              (change_over_of(bench, op).seconds > 0 ? 1 : 0);
  }
  const auto expect = [&](bool same, const char* what) {
    if (!same) bench.report("schedule-sums", fmt::format("{} is not what the operations say", what));
  };
  expect(s.start == bench.work.start, "start");
  expect(s.finish == finish, "finish");
  expect(s.makespan == s.finish - s.start, "makespan");
  expect(s.hands_on == hands, "hands_on");
  expect(s.setups == setups, "setups");
  if (s.bound > s.makespan) bench.report("schedule-sums", "the bound is later than the finish");
  if (s.status == plan::Schedule::Status::optimal && s.bound != s.makespan) {
    bench.report("schedule-sums", "an optimal schedule ends at its bound");
  }
}

std::vector<plan::Finding> check(const plan::Work& work, const plan::Schedule& schedule) {
  using Status = plan::Schedule::Status;
  CheckBench bench(work, schedule);
  if (schedule.operations.empty() &&
      (schedule.status == Status::infeasible || schedule.status == Status::stopped)) {
    return {};
  }
  check_units(bench);
  if (!bench.findings.empty()) return bench.findings;
  check_times(bench);
  check_people(bench);
  check_stations(bench);
  check_links(bench);
  check_sums(bench);
  return bench.findings;
}

}  // namespace handlot::schedule
