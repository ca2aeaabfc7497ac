#include "engine/energy.h"

#include <algorithm>

namespace handlot::engine {

void Energy::post(State& state, std::span<const Task> tasks, std::int32_t capacity) {
  auto made = std::make_unique<Energy>();
  Energy& it = *made;
  it.capacity_ = capacity;
  for (const Task& t : tasks)
    if (t.demand > 0 && (t.length.index >= 0 || t.duration > 0)) it.tasks_.add(t);
  it.number_ = state.add(std::move(made), 3);
  for (const Task& t : it.tasks_) {
    state.wake_both(it.number_, t.start);
    if (t.present != kAlways) state.wake(it.number_, t.present.view);
    if (t.length.index >= 0) state.wake(it.number_, rising(t.length));
  }
}

void watch_energy(Solver& solver, std::span<const Task> tasks, std::int32_t capacity) {
  Energy::post(solver.state(), tasks, capacity);
}

void Energy::read(const Trail& trail) {
  spans_.clear();
  of_task_.clear();
  for (std::int32_t i = 0; i < tasks_.count(); ++i) {
    const Task& t = tasks_[i];
    const std::int32_t length = shortest(trail, t);
    if (length == 0 || !trail.holds(t.present)) continue;
    spans_.add({trail.low(t.start), trail.high(t.start), length, t.demand});
    of_task_.add(i);
  }
}

void Energy::sum_parts() {
  corners_.clear();
  for (const Span& s : spans_) {
    if (s.part() == 0) continue;
    corners_.add({s.late, s.demand, 0});
    corners_.add({s.earliest_end(), -s.demand, 0});
  }
  std::sort(corners_.begin(), corners_.end(),
            [](const Corner& a, const Corner& b) { return a.time < b.time; });
  std::int32_t height = 0;
  std::int64_t work = 0;
  for (std::int32_t c = 0; c < corners_.count(); ++c) {
    if (c > 0) work += std::int64_t{height} * (corners_[c].time - corners_[c - 1].time);
    height += corners_[c].height;
    corners_[c].height = height;
    corners_[c].work = work;
  }
}

std::int64_t Energy::parts_until(std::int32_t time) const {
  const auto after =
      std::partition_point(corners_.begin(), corners_.end(), [&](const Corner& c) { return c.time <= time; });
  if (after == corners_.begin()) return 0;
  const Corner& last = *(after - 1);
  return last.work + std::int64_t{last.height} * (time - last.time);
}

bool Energy::propagate(State& state) {
  read(state.trail());
  sum_parts();
  bars_.clear();
  for (const Span& s : spans_) {
    if (s.free_work() == 0) continue;
    bars_.add({s.early, s.latest_end(), s.free_work(), parts_until(s.early), parts_until(s.latest_end())});
  }
  // Spans end where a task must have ended, and grow backwards over the starts of the tasks that lie inside.
  std::sort(bars_.begin(), bars_.end(), [](const Bar& x, const Bar& y) { return x.early > y.early; });
  std::int32_t last_end = -kFar;
  for (const Bar& end : bars_) {
    const std::int32_t b = end.latest_end;
    if (b == last_end) continue;
    last_end = b;
    std::int64_t work = 0;
    for (const Bar& bar : bars_) {
      if (bar.latest_end > b) continue;
      work += bar.free_work;
      const std::int64_t room = std::int64_t{capacity_} * (b - bar.early);
      if (work + end.parts_before_end - bar.parts_before_early > room) return overload(state, bar.early, b);
    }
  }
  return true;
}

// The least time that a task spends in [a, b), wherever between its bounds it starts.
std::int32_t Energy::inside(const Span& s, std::int32_t a, std::int32_t b) const {
  const std::int32_t started_early = std::min(s.earliest_end(), b) - std::max(s.early, a);
  const std::int32_t started_late = std::min(s.latest_end(), b) - std::max(s.late, a);
  return std::max(0, std::min(started_early, started_late));
}

bool Energy::overload(State& state, std::int32_t a, std::int32_t b) {
  const Trail& trail = state.trail();
  std::int64_t spare = -std::int64_t{capacity_} * (b - a) - 1;
  struct Worker {
    std::int32_t known_at, span, time;
  };
  std::vector<Worker> workers;
  for (std::int32_t i = 0; i < spans_.count(); ++i) {
    const Span& s = spans_[i];
    const std::int32_t e = inside(s, a, b);
    if (e == 0) continue;
    spare += std::int64_t{s.demand} * e;
    const Task& t = tasks_[of_task_[i]];
    const std::int32_t from = trail.position(at_least(t.start, a + e - s.length));
    workers.push_back({std::max(from, trail.position(at_most(t.start, b - e))), i, e});
  }
  assert(spare >= 0);
  std::sort(workers.begin(), workers.end(), [](const Worker& x, const Worker& y) {
    return x.known_at != y.known_at ? x.known_at > y.known_at : x.span < y.span;
  });
  std::vector<Literal> because;
  for (const Worker& w : workers) {
    const Span& s = spans_[w.span];
    const Task& t = tasks_[of_task_[w.span]];
    const auto less = static_cast<std::int32_t>(std::min<std::int64_t>(spare / s.demand, w.time));
    const std::int32_t e = w.time - less;
    spare -= std::int64_t{less} * s.demand;
    if (e == 0) continue;
    because.push_back(at_least(t.start, a + e - s.length));
    because.push_back(at_most(t.start, b - e));
    if (t.length.index >= 0) because.push_back(at_least(t.length, s.length));
    if (t.present != kAlways) because.push_back(t.present);
  }
  return state.clash(because);
}

}  // namespace handlot::engine
