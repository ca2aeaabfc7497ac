#include <algorithm>

#include "engine/project.h"
#include "engine/timetable.h"

namespace handlot::engine {

namespace {

std::size_t at(std::int32_t i) {
  return static_cast<std::size_t>(i);
}

std::int32_t horizon(const ProjectInstance& p) {
  std::int64_t sum = 0;
  for (std::size_t i = 0; i < p.activities.size(); ++i) {
    std::int32_t most = p.activities[i].duration;
    for (const auto& l : p.lags)
      if (at(l.from) == i) most = std::max(most, l.lag);
    sum += most;
  }
  return static_cast<std::int32_t>(std::min<std::int64_t>(sum, kFar / 4));
}

}  // namespace

ProjectAnswer solve_project(const ProjectInstance& p, Limits limits, std::uint64_t seed) {
  Solver solver(seed);
  const std::int32_t far = horizon(p);
  std::vector<Var> starts;
  for (std::size_t i = 0; i < p.activities.size(); ++i) starts.push_back(solver.integer(0, far));
  const Var end = solver.integer(0, far, Turn::last);
  for (std::size_t i = 0; i < p.activities.size(); ++i) solver.lag(starts[i], end, p.activities[i].duration);
  for (const auto& l : p.lags) solver.lag(starts[at(l.from)], starts[at(l.to)], l.lag);
  for (std::size_t k = 0; k < p.capacity.size(); ++k) {
    std::vector<Task> tasks;
    for (std::size_t i = 0; i < p.activities.size(); ++i)
      tasks.push_back({starts[i], p.activities[i].duration, p.activities[i].demand[k]});
    require_capacity(solver, tasks, p.capacity[k]);
  }
  const Answer best = solver.minimise(end, {}, limits);
  ProjectAnswer answer;
  answer.status = best.status;
  if (best.solved()) {
    for (const Var s : starts) answer.starts.push_back(best.value(s));
    answer.makespan = best.value(end);
  }
  answer.lower_bound = std::max(0, best.bound);
  answer.conflicts = best.effort.conflicts;
  answer.cpu_seconds = best.effort.cpu_seconds;
  return answer;
}

}  // namespace handlot::engine
