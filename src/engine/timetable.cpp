#include "engine/timetable.h"

#include <algorithm>

namespace handlot::engine {

Timetable::Timetable(std::vector<Task> tasks, std::int32_t capacity)
    : capacity_(capacity), tasks_(std::move(tasks)), spans_(tasks_.size()) {}

void Timetable::post(State& state, std::vector<Task> tasks, std::int32_t capacity) {
  std::erase_if(tasks, [&](const Task& t) {
    const bool never_long = t.length.index < 0 ? t.duration <= 0 : state.trail().high(t.length) <= 0;
    return t.demand <= 0 || never_long || state.trail().fails(t.present);
  });
  if (tasks.empty()) return;
  auto made = std::make_unique<Timetable>(std::move(tasks), capacity);
  Timetable& timetable = *made;
  timetable.number_ = state.add(std::move(made), 1);
  for (const Task& t : timetable.tasks_) {
    state.wake_both(timetable.number_, t.start);
    if (t.present != kAlways) state.wake(timetable.number_, t.present.view);
    if (t.length.index >= 0) state.wake(timetable.number_, rising(t.length));
  }
}

void require_capacity(Solver& solver, std::span<const Task> tasks, std::int32_t capacity) {
  // A demand above the capacity is the plain case of an overload, and is found as one: nothing to do here.
  Timetable::post(solver.state(), {tasks.begin(), tasks.end()}, capacity);
}

void Timetable::read(const Trail& trail) {
  parts_.clear();
  for (std::size_t i = 0; i < tasks_.size(); ++i) {
    const Task& t = tasks_[i];
    spans_[i] = {trail.low(t.start), trail.high(t.start), shortest(trail, t), t.demand};
    const Span& s = spans_[i];
    if (s.late < s.early + s.length && trail.holds(t.present))
      parts_.push_back({s.late, s.early + s.length, static_cast<std::int32_t>(i)});
  }
}

void Timetable::build_profile() {
  events_.clear();
  for (const Part& p : parts_) {
    const std::int32_t demand = spans_[static_cast<std::size_t>(p.task)].demand;
    events_.push_back({p.begin, demand});
    events_.push_back({p.end, -demand});
  }
  std::sort(events_.begin(), events_.end(), [](const Event& a, const Event& b) { return a.time < b.time; });
  steps_.clear();
  highest_ = 0;
  std::int32_t height = 0;
  for (std::size_t e = 0; e < events_.size();) {
    const std::int32_t time = events_[e].time;
    while (e < events_.size() && events_[e].time == time) height += events_[e++].change;
    if (!steps_.empty()) steps_.back().end = time;
    if (e < events_.size()) steps_.push_back({time, time, height});
    highest_ = std::max(highest_, height);
  }
}

bool Timetable::propagate(State& state) {
  read(state.trail());
  build_profile();
  if (highest_ > capacity_) {
    for (const Step& step : steps_)
      if (step.height > capacity_) return overload(state, step);
  }
  for (std::size_t i = 0; i < tasks_.size(); ++i) {
    const Span& s = spans_[i];
    if (s.length <= 0 || highest_ + s.demand <= capacity_) continue;
    const Literal present = tasks_[i].present;
    const auto task = static_cast<std::int32_t>(i);
    if (state.trail().fails(present)) continue;
    if (!state.trail().holds(present)) {
      if (!drop_absent(state, task)) return false;
    } else if (s.early < s.late && (!push_later(state, task) || !push_earlier(state, task))) {
      return false;
    }
  }
  return true;
}

bool Timetable::overload(State& state, const Step& step) {
  std::vector<Literal> because;
  const std::int32_t middle =
      step.begin + (step.end - step.begin) / 2;  // leaves both bounds of a task some room
  running_at(state.trail(), middle, state.trail().count(), -1, capacity_ + 1, because);
  return state.clash(because);
}

bool Timetable::push_later(State& state, std::int32_t task) {
  const Span s = spans_[static_cast<std::size_t>(task)];
  const Var start = tasks_[static_cast<std::size_t>(task)].start;
  std::int32_t early = s.early;
  auto step =
      std::partition_point(steps_.begin(), steps_.end(), [&](const Step& p) { return p.end <= early; });
  for (; step != steps_.end() && step->begin < early + s.length; ++step) {
    if (step->height + s.demand <= capacity_) continue;
    if (s.late <= step->begin && step->end <= s.early + s.length) continue;  // its own part
    while (early <
           step->end) {  // a long step is crossed in strides of the task's length, each with one moment
      const std::int32_t t = std::min(step->end, early + s.length) - 1;
      if (!state.set(at_least(start, t + 1), {number_, t, task})) return false;
      early = t + 1;
    }
  }
  return true;
}

bool Timetable::push_earlier(State& state, std::int32_t task) {
  const Span s = spans_[static_cast<std::size_t>(task)];
  const Var start = tasks_[static_cast<std::size_t>(task)].start;
  std::int32_t end = s.late + s.length;
  auto step =
      std::partition_point(steps_.begin(), steps_.end(), [&](const Step& p) { return p.begin < end; });
  while (step != steps_.begin() && (step - 1)->end > end - s.length) {
    --step;
    if (step->height + s.demand <= capacity_) continue;
    if (s.late <= step->begin && step->end <= s.early + s.length) continue;
    while (end > step->begin) {
      const std::int32_t t = std::max(step->begin, end - s.length);
      if (!state.set(at_most(start, t - s.length), {number_, t, task})) return false;
      end = t;
    }
  }
  return true;
}

// A task not yet known to be present is not moved; it is ruled out once it would have to run in an overload.
bool Timetable::drop_absent(State& state, std::int32_t task) {
  const Span s = spans_[static_cast<std::size_t>(task)];
  const std::int32_t end = s.early + s.length;
  auto step =
      std::partition_point(steps_.begin(), steps_.end(), [&](const Step& p) { return p.end <= s.late; });
  for (; step != steps_.end() && step->begin < end; ++step) {
    if (step->height + s.demand <= capacity_) continue;
    const std::int32_t t = std::max(step->begin, s.late);
    return state.set(~tasks_[static_cast<std::size_t>(task)].present, {number_, t, task});
  }
  return true;
}

std::int32_t Timetable::length_before(const Trail& trail, const Task& task, std::int32_t position) const {
  return task.length.index < 0 ? task.duration : trail.low_before(rising(task.length), position);
}

// Did `task` have to run at `t`, by what was known before `position`?
bool Timetable::covers(const Trail& trail, const Task& task, std::int32_t t, std::int32_t position) const {
  // Bounds only tighten along the trail, so what does not cover now did not then; this spares most of the
  // walks.
  if (trail.high(task.start) > t || trail.low(task.start) + shortest(trail, task) <= t) return false;
  if (!trail.holds(task.present)) return false;
  return trail.position(at_most(task.start, t)) < position &&
         trail.position(at_least(task.start, t + 1 - length_before(trail, task, position))) < position &&
         trail.position(task.present) < position;
}

std::int32_t Timetable::load_at(const Trail& trail, std::int32_t t, std::int32_t position,
                                std::int32_t but) const {
  std::int32_t load = 0;
  for (std::size_t j = 0; j < tasks_.size(); ++j)
    if (static_cast<std::int32_t>(j) != but && covers(trail, tasks_[j], t, position))
      load += tasks_[j].demand;
  return load;
}

// Tasks that run at `t` and demand at least `needed` together, as literals. Of more than enough, those known
// latest are spared: a reason made of old bounds lets the search go back further.
void Timetable::running_at(const Trail& trail, std::int32_t t, std::int32_t position, std::int32_t but,
                           std::int32_t needed, std::vector<Literal>& because) const {
  struct Runner {
    std::int32_t known_at, task;
  };
  std::vector<Runner> runners;
  std::int32_t spare = -needed;
  for (std::size_t j = 0; j < tasks_.size(); ++j) {
    const Task& task = tasks_[j];
    if (static_cast<std::int32_t>(j) == but || !covers(trail, task, t, position)) continue;
    const Literal running = at_least(task.start, t + 1 - length_before(trail, task, position));
    runners.push_back({std::max({trail.position(at_most(task.start, t)), trail.position(running),
                                 trail.position(task.present)}),
                       static_cast<std::int32_t>(j)});
    spare += task.demand;
  }
  assert(spare >= 0);
  std::sort(runners.begin(), runners.end(), [](const Runner& a, const Runner& b) {
    return a.known_at != b.known_at ? a.known_at > b.known_at : a.task < b.task;
  });
  for (const Runner& r : runners) {
    const Task& task = tasks_[static_cast<std::size_t>(r.task)];
    if (task.demand <= spare) {
      spare -= task.demand;
      continue;
    }
    const std::int32_t length = length_before(trail, task, position);
    because.push_back(at_most(task.start, t));
    because.push_back(at_least(task.start, t + 1 - length));
    if (task.length.index >= 0) because.push_back(at_least(task.length, length));
    if (task.present != kAlways) because.push_back(task.present);
  }
}

void Timetable::explain(const Trail& trail, Literal what, std::int32_t position, Reason reason,
                        std::vector<Literal>& because) const {
  const std::int32_t i = reason.more;
  const Task& task = tasks_[static_cast<std::size_t>(i)];
  const std::int32_t length = length_before(trail, task, position);
  std::int32_t t = reason.datum;
  if (what.view == rising(task.start) || what.view == falling(task.start)) {
    // Less may be asked than was concluded: a moment nearer by may do, and then asks less of the task itself.
    const bool later = what.view == rising(task.start);
    const std::int32_t nearer = later ? what.bound - 1 : length - what.bound;
    if (nearer != t && load_at(trail, nearer, position, i) + task.demand > capacity_) t = nearer;
    because.push_back(later ? at_least(task.start, t + 1 - length) : at_most(task.start, t));
    if (task.present != kAlways) because.push_back(task.present);
  } else {
    because.push_back(at_least(task.start, t + 1 - length));
    because.push_back(at_most(task.start, t));
  }
  if (task.length.index >= 0) because.push_back(at_least(task.length, length));
  running_at(trail, t, position, i, capacity_ - task.demand + 1, because);
}

}  // namespace handlot::engine
