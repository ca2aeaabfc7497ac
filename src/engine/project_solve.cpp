#include <algorithm>
#include <cstdlib>

#include "engine/disjunction.h"
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

constexpr std::int32_t kNone = -kFar;

// Longest path between every two activities: start(j) >= start(i) + d[i][j]. Floyd and Warshall.
class Distances {
 public:
  explicit Distances(const ProjectInstance& p)
      : n_(static_cast<std::int32_t>(p.activities.size())), d_(n_ * n_, kNone) {
    for (std::int32_t i = 0; i < n_; ++i) (*this)(i, i) = 0;
    for (const auto& l : p.lags) (*this)(l.from, l.to) = std::max((*this)(l.from, l.to), l.lag);
    for (std::int32_t k = 0; k < n_; ++k)
      for (std::int32_t i = 0; i < n_; ++i) through(i, k);
  }
  std::int32_t& operator()(std::int32_t i, std::int32_t j) { return d_[i * n_ + j]; }
  bool cycle() {
    for (std::int32_t i = 0; i < n_; ++i)
      if ((*this)(i, i) > 0) return true;
    return false;
  }
  void add(std::int32_t a, std::int32_t b, std::int32_t lag) {
    if ((*this)(a, b) >= lag) return;
    for (std::int32_t i = 0; i < n_; ++i) {
      const std::int32_t to_a = (*this)(i, a);
      if (to_a == kNone) continue;
      for (std::int32_t j = 0; j < n_; ++j)
        if ((*this)(b, j) != kNone) (*this)(i, j) = std::max((*this)(i, j), to_a + lag + (*this)(b, j));
    }
  }

 private:
  void through(std::int32_t i, std::int32_t k) {
    const std::int32_t ik = (*this)(i, k);
    if (ik == kNone) return;
    for (std::int32_t j = 0; j < n_; ++j)
      if ((*this)(k, j) != kNone) (*this)(i, j) = std::max((*this)(i, j), ik + (*this)(k, j));
  }
  std::int32_t n_;
  List<std::int32_t> d_;
};

bool exceed(const ProjectInstance& p, std::size_t i, std::size_t j) {
  if (p.activities[i].duration == 0 || p.activities[j].duration == 0) return false;
  for (std::size_t k = 0; k < p.capacity.size(); ++k)
    if (p.activities[i].demand[k] + p.activities[j].demand[k] > p.capacity[k] &&
        p.activities[i].demand[k] > 0 && p.activities[j].demand[k] > 0)
      return true;
  return false;
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
  if (!getenv("NOPAIR")) {
    Distances d(p);
    const auto n = static_cast<std::int32_t>(p.activities.size());
    if (d.cycle()) return {Status::infeasible, {}, -1, 0, 0, 0};
    std::vector<std::pair<std::int32_t, std::int32_t>> open;
    for (std::int32_t i = 0; i < n; ++i)
      for (std::int32_t j = i + 1; j < n; ++j)
        if (exceed(p, at(i), at(j))) open.push_back({i, j});
    for (bool more = true; more;) {
      more = false;
      std::vector<std::pair<std::int32_t, std::int32_t>> rest;
      for (auto [i, j] : open) {
        const std::int32_t pi = p.activities[at(i)].duration;
        const std::int32_t pj = p.activities[at(j)].duration;
        if (d(i, j) >= pi || d(j, i) >= pj) continue;
        if (d(i, j) > -pj) {
          solver.lag(starts[at(i)], starts[at(j)], pi);
          d.add(i, j, pi);
          more = true;
          continue;
        }
        if (d(j, i) > -pi) {
          solver.lag(starts[at(j)], starts[at(i)], pj);
          d.add(j, i, pj);
          more = true;
          continue;
        }
        rest.push_back({i, j});
      }
      open = rest;
      if (d.cycle()) return {Status::infeasible, {}, -1, 0, 0, 0};
    }
    for (auto [i, j] : open)
      require_apart(solver, {starts[at(i)], p.activities[at(i)].duration},
                    {starts[at(j)], p.activities[at(j)].duration});
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
