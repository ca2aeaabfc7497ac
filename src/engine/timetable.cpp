#include "engine/timetable.h"

#include <algorithm>

namespace handlot::engine {

Timetable::Timetable(std::vector<Task> tasks, std::int32_t capacity) : capacity_(capacity) {
  for (const Task& t : tasks) tasks_.add(t);
  spans_.resize(tasks_.count());
  changed_.resize(tasks_.count(), {});
}

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
  if (!at_rest_) {
    rebuild_ = true;
    rose_begin_ = -kFar;
    rose_end_ = kFar;
  } else {
    rebuild_ = false;
    rose_begin_ = kFar;
    rose_end_ = -kFar;
  }
  for (std::int32_t i = 0; i < tasks_.count(); ++i) {
    const Task& t = tasks_[i];
    const Span now{trail.low(t.start), trail.high(t.start), shortest(trail, t), trail.holds(t.present)};
    const Span& before = spans_[i];
    const bool any =
        !at_rest_ || changed_[i].pushed || now.length != before.length || now.present != before.present;
    if (!any && now == before) {
      changed_[i] = {false, false};
      continue;
    }
    changed_[i] = {any || now.early != before.early, any || now.late != before.late};
    note_part(before, now);
    spans_[i] = now;
  }
}

// Whether the profile is to be built anew, and where it can have risen.
void Timetable::note_part(const Span& before, const Span& now) {
  if (!before.runs() && !now.runs()) return;
  if (before.runs() && now.runs() && before.late == now.late &&
      before.early + before.length == now.early + now.length)
    return;
  rebuild_ = true;
  if (!now.runs()) return;
  rose_begin_ = std::min(rose_begin_, now.late);
  rose_end_ = std::max(rose_end_, now.early + now.length);
}

void Timetable::build_profile() {
  events_.clear();
  std::int32_t begin = kFar;
  std::int32_t end = -kFar;
  for (std::int32_t i = 0; i < tasks_.count(); ++i) {
    const Span& s = spans_[i];
    if (!s.runs()) continue;
    begin = std::min(begin, s.late);
    end = std::max(end, s.early + s.length);
    events_.add({s.late, tasks_[i].demand});
    events_.add({s.early + s.length, -tasks_[i].demand});
  }
  steps_.clear();
  highest_ = 0;
  if (events_.empty()) return;
  if (end - begin <= 8 * events_.count())
    sweep_cells(begin, end);
  else
    sweep_sorted();
}

// Events in order of time by counting, where the time line is short: most of this propagator's time goes
// here.
void Timetable::sweep_cells(std::int32_t begin, std::int32_t end) {
  const std::int32_t width = end - begin + 1;
  if (cells_.count() < width) cells_.resize(width);
  for (const Event& e : events_) cells_[e.time - begin] = {cells_[e.time - begin].change + e.change, true};
  std::int32_t height = 0;
  for (std::int32_t c = 0; c < width; ++c) {
    if (!cells_[c].touched)
      continue;  // a touched cell ends a step even if its changes cancel: parts end there
    height += cells_[c].change;
    cells_[c] = {};
    add_step(begin + c, height);
  }
  steps_.drop_last();
}

void Timetable::sweep_sorted() {
  std::sort(events_.begin(), events_.end(), [](const Event& a, const Event& b) { return a.time < b.time; });
  std::int32_t height = 0;
  for (std::int32_t e = 0; e < events_.count();) {
    const std::int32_t time = events_[e].time;
    while (e < events_.count() && events_[e].time == time) height += events_[e++].change;
    add_step(time, height);
  }
  steps_.drop_last();
}

void Timetable::add_step(std::int32_t time, std::int32_t height) {
  if (!steps_.empty()) steps_.back().end = time;
  steps_.add({time, time, height});
  highest_ = std::max(highest_, height);
}

bool Timetable::propagate(State& state) {
  read(state.trail());
  at_rest_ = false;
  if (rebuild_) build_profile();
  if (highest_ > capacity_) return overload(state);
  for (std::int32_t i = 0; i < tasks_.count(); ++i)
    if (!check(state, i)) return false;
  at_rest_ = true;
  return true;
}

bool Timetable::check(State& state, std::int32_t i) {
  const Span& s = spans_[i];
  if (highest_ + tasks_[i].demand <= capacity_ || s.length <= 0) return true;
  const bool early = changed_[i].early;
  const bool late = changed_[i].late;
  if (!s.present) {
    if (!early && !late && !rose_within(s.late, s.early + s.length)) return true;
    return state.trail().fails(tasks_[i].present) || drop_absent(state, i);
  }
  if (s.early >= s.late) return true;
  const bool later = early || rose_within(s.early, s.early + s.length);
  const bool earlier = late || rose_within(s.late, s.late + s.length);
  return (!later || push_later(state, i)) && (!earlier || push_earlier(state, i));
}

bool Timetable::overload(State& state) {
  std::int32_t worst = 0;
  while (steps_[worst].height <= capacity_) ++worst;
  const Step& step = steps_[worst];
  const std::int32_t middle =
      step.begin + (step.end - step.begin) / 2;  // leaves both bounds of a task some room
  std::vector<Literal> because;
  running_at(state.trail(), middle, state.trail().count(), -1, capacity_ + 1, because);
  return state.clash(because);
}

bool Timetable::push_later(State& state, std::int32_t task) {
  const Span s = spans_[task];
  const Var start = tasks_[task].start;
  std::int32_t early = s.early;
  auto step =
      std::partition_point(steps_.begin(), steps_.end(), [&](const Step& p) { return p.end <= early; });
  for (; step != steps_.end() && step->begin < early + s.length; ++step) {
    if (step->height + tasks_[task].demand <= capacity_) continue;
    if (s.late <= step->begin && step->end <= s.early + s.length) continue;  // its own part
    while (early <
           step->end) {  // a long step is crossed in strides of the task's length, each with one moment
      const std::int32_t t = std::min(step->end, early + s.length) - 1;
      if (!state.set(at_least(start, t + 1), {number_, t, task})) return false;
      changed_[task].pushed = true;
      early = t + 1;
    }
  }
  return true;
}

bool Timetable::push_earlier(State& state, std::int32_t task) {
  const Span s = spans_[task];
  const Var start = tasks_[task].start;
  std::int32_t end = s.late + s.length;
  auto step =
      std::partition_point(steps_.begin(), steps_.end(), [&](const Step& p) { return p.begin < end; });
  while (step != steps_.begin() && (step - 1)->end > end - s.length) {
    --step;
    if (step->height + tasks_[task].demand <= capacity_) continue;
    if (s.late <= step->begin && step->end <= s.early + s.length) continue;
    while (end > step->begin) {
      const std::int32_t t = std::max(step->begin, end - s.length);
      if (!state.set(at_most(start, t - s.length), {number_, t, task})) return false;
      changed_[task].pushed = true;
      end = t;
    }
  }
  return true;
}

// A task not yet known to be present is not moved; it is ruled out once it would have to run in an overload.
bool Timetable::drop_absent(State& state, std::int32_t task) {
  const Span s = spans_[task];
  const std::int32_t end = s.early + s.length;
  if (s.late >= end) return true;
  auto step =
      std::partition_point(steps_.begin(), steps_.end(), [&](const Step& p) { return p.end <= s.late; });
  for (; step != steps_.end() && step->begin < end; ++step) {
    if (step->height + tasks_[task].demand <= capacity_) continue;
    const std::int32_t t = std::max(step->begin, s.late);
    changed_[task].pushed = true;
    return state.set(~tasks_[task].present, {number_, t, task});
  }
  return true;
}

std::int32_t Timetable::length_before(const Trail& trail, const Task& task, std::int32_t position) const {
  return task.length.index < 0 ? task.duration : trail.low_before(rising(task.length), position);
}

constexpr std::int32_t kNotRunning = Trail::kNotYet;

// Did `task` have to run at `t`, by what was known before `position`?
// Returns  the last trail entry that this rests on (-1: it held from the root), or kNotRunning.
std::int32_t Timetable::known_running(const Trail& trail, std::int32_t i, std::int32_t t,
                                      std::int32_t position) const {
  // The last call came after `position` and saw bounds at least as tight: what did not run then did not
  // before. This spares most of the walks.
  const Span& s = spans_[i];
  if (s.late > t || s.early + s.length <= t || !s.present) return kNotRunning;
  const Task& task = tasks_[i];
  if (trail.high(task.start) > t || !trail.holds(task.present)) return kNotRunning;
  const std::int32_t began = trail.known_before(at_most(task.start, t), position);
  if (began == kNotRunning) return kNotRunning;
  const std::int32_t runs_on = trail.known_before(at_least(task.start, t + 1 - length_before(trail, task, position)), position);
  const std::int32_t present = trail.known_before(task.present, position);
  return runs_on == kNotRunning || present == kNotRunning ? kNotRunning : std::max({began, runs_on, present});
}

std::int32_t Timetable::load_at(const Trail& trail, std::int32_t t, std::int32_t position,
                                std::int32_t but) const {
  std::int32_t load = 0;
  for (std::int32_t j = 0; j < tasks_.count(); ++j)
    if (j != but && known_running(trail, j, t, position) != kNotRunning) load += tasks_[j].demand;
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
  for (std::int32_t j = 0; j < tasks_.count(); ++j) {
    const std::int32_t known_at = j == but ? kNotRunning : known_running(trail, j, t, position);
    if (known_at == kNotRunning) continue;
    runners.push_back({known_at, j});
    spare += tasks_[j].demand;
  }
  assert(spare >= 0);
  std::sort(runners.begin(), runners.end(), [](const Runner& a, const Runner& b) {
    return a.known_at != b.known_at ? a.known_at > b.known_at : a.task < b.task;
  });
  for (const Runner& r : runners) {
    const Task& task = tasks_[r.task];
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
  const Task& task = tasks_[i];
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
