#include "schedule/tasks.h"

#include <algorithm>
#include <cassert>
#include <map>
#include <set>
#include <tuple>

namespace handlot::schedule {

namespace {

using plan::Edge;

int number_of(const std::vector<plan::Resource>& resources, const ResourceId& id) {
  const auto found =
      std::find_if(resources.begin(), resources.end(), [&](const auto& r) { return r.id == id; });
  return static_cast<int>(found - resources.begin());
}

int number_of(const std::vector<plan::Step>& steps, const StepId& id) {
  const auto found = std::find_if(steps.begin(), steps.end(), [&](const auto& s) { return s.id == id; });
  return static_cast<int>(found - steps.begin());
}

/// Builds one TaskSet; a class only so that the pieces can share the tables.
class Cutter {
 public:
  Cutter(const plan::Work& work, const std::vector<int>& sizes)
      : work_(work), set_{ShopHours(work.hours, work.start), {}, {}, {}, {}, {}, sizes} {}

  TaskSet cut() {
    for (const plan::Resource& r : work_.resources) {
      set_.stations.push_back({r.kind == plan::Resource::Kind::person ? 1 : r.capacity,
                               r.kind == plan::Resource::Kind::person, r.together, r.warm_up.seconds,
                               r.stays_warm.seconds, r.change_over.seconds});
    }
    for (std::size_t s = 0; s < work_.steps.size(); ++s) add_step(static_cast<int>(s));
    set_.first_task.push_back(static_cast<int>(set_.tasks.size()));
    for (std::size_t s = 0; s < work_.steps.size(); ++s) add_needs(static_cast<int>(s));
    add_order_of_units();
    for (std::size_t c = 0; c < work_.constraints.size(); ++c) add_links(static_cast<int>(c));
    for (std::size_t a = 0; a < work_.apart.size(); ++a) {
      const plan::NeverTogether& pair = work_.apart[a];
      set_.apart.push_back({number_of(work_.steps, pair.a), number_of(work_.steps, pair.b),
                            pair.clear_after_a.seconds, pair.clear_after_b.seconds, static_cast<int>(a)});
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

  std::vector<int> people(const plan::Timing& timing) const {
    std::vector<int> all;
    for (std::size_t r = 0; r < work_.resources.size(); ++r) {
      const bool named = timing.people.empty() || std::find(timing.people.begin(), timing.people.end(),
                                                            work_.resources[r].id) != timing.people.end();
      if (work_.resources[r].kind == plan::Resource::Kind::person && named)
        all.push_back(static_cast<int>(r));
    }
    return all;
  }

  int family(const std::string& name) {
    if (name.empty()) return 0;
    return families_.try_emplace(name, static_cast<int>(families_.size()) + 1).first->second;
  }

  void add_step(int step) {
    const plan::Timing& t = timing(step);
    set_.first_task.push_back(static_cast<int>(set_.tasks.size()));
    for (const Run& run : runs_of(t, work_.units, set_.sizes[static_cast<std::size_t>(step)])) {
      Task task;
      task.step = step;
      task.run = run;
      const Time work = t.setup.seconds + t.run.seconds * (t.run_per_unit ? run.size() : 1);
      const bool checked = t.first_piece && run.first == 1;
      task.hands = (t.hands_on ? work : 0) + (checked ? t.first_piece_check.seconds : 0);
      task.alone = (t.hands_on ? 0 : work) + t.unattended.seconds;
      task.may_pause = t.may_pause;
      task.setups = t.setup.seconds > 0 ? 1 : 0;
      task.people = people(t);
      task.family = family(t.material_family);
      set_.tasks.push_back(std::move(task));
    }
  }

  void add_needs(int step) {
    for (int number = first(step); number < past(step); ++number) {
      for (const plan::Use& use : timing(step).uses) {
        const int resource = number_of(work_.resources, use.resource);
        const Run run = task(number).run;
        const bool each = use.per_unit || set_.stations[static_cast<std::size_t>(resource)].together;
        Need need{resource, use.count * (each ? run.size() : 1), use.hold_after_end.seconds, {}};
        if (use.until_start_of) {
          add_held(number, need, use.count, number_of(work_.steps, *use.until_start_of), each);
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
    std::map<int, int> units_until;
    for (int unit = run.first; unit <= run.last; ++unit) ++units_until[task_with(until_step, unit)];
    if (!each) {
      for (const auto& [until, units] : units_until) need.until.push_back(until);
      task(number).needs.push_back(need);
      return;
    }
    for (const auto& [until, units] : units_until) {
      need.count = count * units;
      need.until = {until};
      task(number).needs.push_back(need);
    }
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

  void add_links(int number) {
    const plan::Constraint& c = work_.constraints[static_cast<std::size_t>(number)];
    const int from = number_of(work_.steps, c.from.step), to = number_of(work_.steps, c.to.step);
    if (c.scope == plan::Scope::unit) {
      std::set<std::pair<int, int>> pairs;
      for (int unit = 1; unit <= work_.units; ++unit)
        pairs.insert({task_with(from, unit), task_with(to, unit)});
      for (const auto& [a, b] : pairs) {
        set_.links.push_back(
            {a, c.from.edge, b, c.to.edge, c.min.seconds, c.max ? c.max->seconds : kNever, number});
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
        set_.links.push_back({a, c.from.edge, b, c.to.edge, -kNever, c.max->seconds, number});
      }
    }
  }

  const plan::Work& work_;
  TaskSet set_;
  std::map<std::string, int> families_;
};

}  // namespace

std::vector<Run> runs_of(const plan::Timing& timing, int units, int size) {
  assert(units >= 1 && size >= 1);
  if (timing.whole_lot) return {{1, units}};
  std::vector<Run> runs;
  int next = 1;
  if (timing.first_piece) {
    runs.push_back({1, 1});
    next = 2;
  }
  for (; next <= units; next += size) runs.push_back({next, std::min(units, next + size - 1)});
  return runs;
}

std::vector<int> sizes_of(const plan::Timing& timing, int units) {
  if (timing.whole_lot) return {units};
  const int repeated = timing.first_piece ? std::max(1, units - 1) : units;
  const int largest = std::min(repeated, timing.batch_max == 0 ? units : timing.batch_max);
  const int smallest = std::clamp(timing.batch_min, 1, std::max(1, largest));
  std::vector<int> sizes;
  for (int size = smallest; size <= largest; ++size) sizes.push_back(size);
  return sizes;
}

TaskSet cut(const plan::Work& work, const std::vector<int>& sizes) {
  assert(sizes.size() == work.steps.size());
  return Cutter(work, sizes).cut();
}

Time hands_end(const TaskSet& set, int task, Time start, Time change) {
  const Task& t = set.tasks[static_cast<std::size_t>(task)];
  return set.hours.end_of(start, t.hands + change, t.may_pause);
}

Time task_end(const TaskSet& set, int task, Time start, Time change) {
  return hands_end(set, task, start, change) + set.tasks[static_cast<std::size_t>(task)].alone;
}

Time finish_of(const TaskSet& set, const Placement& placement) {
  Time finish = 0;
  for (std::size_t t = 0; t < set.tasks.size(); ++t) {
    finish = std::max(finish, task_end(set, static_cast<int>(t), placement.start[t], placement.change[t]));
  }
  return finish;
}

}  // namespace handlot::schedule
