#include "schedule/tasks.h"

#include <algorithm>
#include <cassert>
#include <tuple>

#include "schedule/own_time.h"
#include "schedule/step_load.h"

namespace handlot::schedule {

namespace {

using plan::Edge;

/// Builds one TaskSet; a class only so that the pieces can share the tables.
class Cutter {
 public:
  Cutter(const Numbers& numbers, const std::vector<int>& sizes)
      : numbers_(numbers),
        work_(numbers.work()),
        set_{ShopHours(work_.hours, work_.start), presence_of(work_), {}, {}, {}, {}, {}, sizes} {}

  TaskSet cut() {
    set_.stations = stations_of(work_);
    for (std::size_t s = 0; s < work_.steps.size(); ++s) add_step(static_cast<int>(s));
    set_.first_task.push_back(static_cast<int>(set_.tasks.size()));
    for (std::size_t s = 0; s < work_.steps.size(); ++s) add_needs(static_cast<int>(s));
    add_order_of_units();
    add_looks();
    for (std::size_t c = 0; c < work_.constraints.size(); ++c) add_links(static_cast<int>(c));
    add_beginnings();
    for (std::size_t a = 0; a < work_.apart.size(); ++a) {
      const plan::NeverTogether& pair = work_.apart[a];
      set_.apart.push_back({numbers_.step(pair.a), numbers_.step(pair.b), pair.clear_after_a.seconds,
                            pair.clear_after_b.seconds, static_cast<int>(a)});
    }
    return std::move(set_);
  }

 private:
  const plan::Timing& timing(int step) const { return work_.steps[static_cast<std::size_t>(step)].timing; }
  int first(int step) const { return set_.first_task[static_cast<std::size_t>(step)]; }
  int past(int step) const { return set_.first_task[static_cast<std::size_t>(step) + 1]; }
  Task& task(int number) { return set_.tasks[static_cast<std::size_t>(number)]; }

  /// The task of `step` that has `unit`.
  int task_with(int step, int unit) const {
    const auto found = std::lower_bound(set_.tasks.begin() + first(step), set_.tasks.begin() + past(step),
                                        unit, [](const Task& t, int u) { return t.run.last < u; });
    return static_cast<int>(found - set_.tasks.begin());
  }

  void add_step(int step) {
    const plan::Timing& t = timing(step);
    set_.first_task.push_back(static_cast<int>(set_.tasks.size()));
    for (const Run& run : runs_of(t, work_.units, set_.sizes[static_cast<std::size_t>(step)])) {
      Task task;
      task.step = step;
      task.run = run;
      task.hands = hands_of(t, run);
      task.alone = alone_of(t, run);
      task.may_pause = t.may_pause;
      task.at_start = t.at_start;
      task.setups = t.setup.seconds > 0 ? 1 : 0;
      task.people = numbers_.people(step);
      task.family = numbers_.family(step);
      set_.tasks.push_back(std::move(task));
    }
  }

  void add_needs(int step) {
    for (int number = first(step); number < past(step); ++number) {
      for (std::size_t u = 0; u < timing(step).uses.size(); ++u) {
        const plan::Use& use = timing(step).uses[u];
        const auto [resource, until] = numbers_.uses(step)[u];
        const Run run = task(number).run;
        const bool each = use.per_unit || set_.stations[static_cast<std::size_t>(resource)].together;
        Need need{resource, use.count * (each ? run.size() : 1), use.hold_after_end.seconds, {}};
        if (until >= 0) {
          add_held(number, need, use.count, until, each);
        } else {
          task(number).needs.push_back(need);
        }
      }
    }
  }

  /// A need that ends when a later step starts: shares by unit, or one whole until the last unit's task
  /// starts.
  void add_held(int number, Need need, int count, int until_step, bool each) {
    const Run run = task(number).run;
    for (int unit = run.first; unit <= run.last;) {
      const int until = task_with(until_step, unit);
      const int past_share = std::min(run.last, task(until).run.last) + 1;
      need.until.push_back(until);
      if (each) {
        need.count = count * (past_share - unit);
        task(number).needs.push_back(need);
        need.until.clear();
      }
      unit = past_share;
    }
    if (!each) task(number).needs.push_back(need);
  }

  void add_order_of_units() {
    for (std::size_t s = 0; s < work_.steps.size(); ++s) {
      const int step = static_cast<int>(s);
      for (int t = first(step); t + 1 < past(step); ++t) {
        const bool checked = timing(step).first_piece && t == first(step);
        set_.links.push_back({t, checked ? Edge::end : Edge::start, t + 1, Edge::start, 0, kNever, -1});
      }
    }
  }

  /// The rest waits until unit 1 was looked at.
  void add_looks() {
    for (std::size_t l = 0; l < work_.looks.size() && work_.units > 1; ++l) {
      const int look = numbers_.step(work_.looks[l].look), repeat = numbers_.step(work_.looks[l].repeat);
      set_.links.push_back({task_with(look, 1), Edge::end, task_with(repeat, 2), Edge::start, 0, kNever, -1, static_cast<int>(l)});
    }
  }

  /// What nobody works at begins by itself only behind a step that it follows, on no station of its own.
  void add_beginnings() {
    for (Task& t : set_.tasks) t.begun = must_be_begun(timing(t.step), t.run);
    for (std::size_t i = 0; i < work_.constraints.size(); ++i) {
      const plan::Constraint& c = work_.constraints[i];
      const auto [from, to] = numbers_.constraints()[i];
      if (c.from.edge != Edge::end || c.to.edge != Edge::start || !stays_on_station(work_, timing(from), timing(to))) continue;
      for (int b = first(to); b < past(to); ++b) {
        for (int a = first(from); a < past(from) && task(b).begun; ++a) {
          const bool shared = task(a).run.first <= task(b).run.last && task(b).run.first <= task(a).run.last;
          if (shared || c.scope == plan::Scope::lot) task(b).follows.push_back(a);
        }
      }
    }
  }

  /// A latest end between two tasks, such that each unit keeps it by its own time.
  Time most(const plan::Constraint& c, int from, int to) {
    if (!c.max) return kNever;
    return c.max->seconds - own_time_loss(c, timing(task(from).step), task(from).run, timing(task(to).step), task(to).run);
  }

  void add_links(int number) {
    const plan::Constraint& c = work_.constraints[static_cast<std::size_t>(number)];
    const auto [from, to] = numbers_.constraints()[static_cast<std::size_t>(number)];
    if (c.scope == plan::Scope::unit) {
      for (int unit = 1; unit <= work_.units;) {
        const int a = task_with(from, unit), b = task_with(to, unit);
        set_.links.push_back({a, c.from.edge, b, c.to.edge, c.min.seconds, most(c, a, b), number});
        unit = std::min(task(a).run.last, task(b).run.last) + 1;
      }
      return;
    }
    // Starts do not decrease with the unit: the last start, or the first, speaks for all of them.
    const auto ends = [&](int step, Edge edge, bool last) {
      std::vector<int> tasks;
      for (int t = first(step); t < past(step); ++t) tasks.push_back(t);
      if (edge == Edge::start) tasks = {last ? past(step) - 1 : first(step)};
      return tasks;
    };
    for (const int a : ends(from, c.from.edge, true)) {
      for (const int b : ends(to, c.to.edge, false)) {
        set_.links.push_back({a, c.from.edge, b, c.to.edge, c.min.seconds, kNever, number});
      }
    }
    if (!c.max) return;
    for (const int a : ends(from, c.from.edge, false)) {
      for (const int b : ends(to, c.to.edge, true)) {
        set_.links.push_back({a, c.from.edge, b, c.to.edge, -kNever, most(c, a, b), number});
      }
    }
  }

  const Numbers& numbers_;
  const plan::Work& work_;
  TaskSet set_;
};

}  // namespace

std::vector<Run> runs_of(const plan::Timing& timing, int units, int size) {
  assert(units >= 1 && size >= 1);
  if (timing.whole_lot) return {{1, units}};
  std::vector<Run> runs;
  int next = 1;
  if (timing.first_piece || timing.first_alone) {
    runs.push_back({1, 1});
    next = 2;
    // The rest of the first sub-batch goes with what the steps before made in the same sizes, where that costs no run more.
    if (size > 1 && units > 1 && units % size != 1) {
      runs.push_back({2, std::min(units, size)});
      next = size + 1;
    }
  }
  for (; next <= units; next += size) runs.push_back({next, std::min(units, next + size - 1)});
  const int first = timing.first_piece || timing.first_alone ? 1 : 0, repeated = units - first, count = static_cast<int>(runs.size()) - first;
  const bool falls_short = count > 1 && runs.back().size() < timing.batch_min;
  if (!falls_short || repeated / count < timing.batch_min || size != (repeated + count - 1) / count) return runs;
  runs.resize(static_cast<std::size_t>(first), {1, 1});
  next = first + 1;
  for (int left = count; left > 0; --left) {
    const int last = next + (units - next + left) / left - 1;
    runs.push_back({next, last});
    next = last + 1;
  }
  return runs;
}

std::vector<int> sizes_of(const plan::Timing& timing, int units) {
  if (timing.whole_lot) return {units};
  const int repeated = timing.first_piece || timing.first_alone ? std::max(1, units - 1) : units;
  const int largest = std::min(repeated, timing.batch_max == 0 ? units : timing.batch_max);
  const int smallest = std::clamp(timing.batch_min, 1, std::max(1, largest));
  std::vector<int> sizes;
  for (int size = smallest; size <= largest; ++size) {
    if (sizes.empty() || runs_of(timing, units, size) != runs_of(timing, units, sizes.back())) sizes.push_back(size);
  }
  return sizes;
}

TaskSet cut(const Numbers& numbers, const std::vector<int>& sizes) {
  assert(sizes.size() == numbers.work().steps.size());
  return Cutter(numbers, sizes).cut();
}

std::vector<Station> stations_of(const plan::Work& work) {
  std::vector<Station> all;
  for (const plan::Resource& r : work.resources) {
    const bool person = r.kind == plan::Resource::Kind::person;
    all.push_back({person ? 1 : r.capacity, person, r.together, r.warm_up.seconds, r.stays_warm.seconds, r.change_over.seconds});
    if (r.used_until) all.back().used_until = (*r.used_until - work.start).seconds;
    for (const plan::Interval& away : r.away) {
      const OpenSpan span{std::max<Time>(0, (away.open - work.start).seconds), (away.close - work.start).seconds};
      if (span.open < span.close) all.back().away.push_back(span);
    }
  }
  return all;
}

std::vector<ShopHours> presence_of(const plan::Work& work) {
  std::vector<ShopHours> all;
  for (const plan::Resource& r : work.resources) {
    std::vector<plan::Interval> there;
    for (const plan::Interval& open : r.away.empty() ? std::vector<plan::Interval>{} : work.hours) {
      Instant from = open.open;
      for (const plan::Interval& away : r.away) {
        if (away.close <= from || away.open >= open.close) continue;
        if (from < away.open) there.push_back({from, away.open});
        from = away.close;
      }
      if (from < open.close) there.push_back({from, open.close});
    }
    all.emplace_back(there, work.start);
  }
  return all;
}

const ShopHours& hours_at(const TaskSet& set, int task, int person) {
  const bool own = person >= 0 && set.tasks[static_cast<std::size_t>(task)].may_pause && !set.stations[static_cast<std::size_t>(person)].away.empty();
  return own ? set.presence[static_cast<std::size_t>(person)] : set.hours;
}

Time hands_end(const TaskSet& set, const Placement& placement, int task) {
  const auto t = static_cast<std::size_t>(task);
  return hours_at(set, task, placement.person[t]).end_of(placement.start[t], set.tasks[t].hands + placement.change[t], set.tasks[t].may_pause);
}

Time task_end(const TaskSet& set, const Placement& placement, int task) {
  return hands_end(set, placement, task) + set.tasks[static_cast<std::size_t>(task)].alone;
}

Time finish_of(const TaskSet& set, const Placement& placement) {
  Time finish = 0;
  for (std::size_t t = 0; t < set.tasks.size(); ++t) {
    finish = std::max(finish, task_end(set, placement, static_cast<int>(t)));
  }
  return finish;
}

}  // namespace handlot::schedule
