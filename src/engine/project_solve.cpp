#include <algorithm>
#include <functional>
#include <optional>
#include <random>

#include "engine/disjunction.h"
#include "engine/distances.h"
#include "engine/list_schedule.h"
#include "engine/project.h"
#include "engine/timetable.h"

namespace handlot::engine {

namespace {

std::size_t at(std::int32_t i) {
  return static_cast<std::size_t>(i);
}

// A horizon that some best schedule keeps, if there is any schedule: every activity waits at most for its
// longest lag or its own duration.
std::int32_t horizon(const ProjectInstance& p) {
  std::vector<std::int32_t> most;
  for (const auto& a : p.activities) most.push_back(a.duration);
  for (const auto& l : p.lags) most[at(l.from)] = std::max(most[at(l.from)], l.lag);
  std::int64_t sum = 0;
  for (const std::int32_t m : most) sum += m;
  return static_cast<std::int32_t>(std::min<std::int64_t>(sum, kFar / 4));
}

// The whole of one project's search: quick schedules, then the learner from above and below in turns.
class ProjectSearch {
 public:
  ProjectSearch(const ProjectInstance& project, Limits limits, std::uint64_t seed)
      : project_(project), limits_(limits), solver_(seed), seed_(seed), random_(seed) {}

  ProjectAnswer run();

 private:
  bool post();
  void quick_schedules(std::int32_t count);
  enum class Found { better, refuted, limit };
  Found look_for(std::int32_t makespan, std::int64_t conflicts);
  Found ask(std::span<const Literal> wishes, std::int64_t conflicts);
  void rework_windows(std::int64_t conflicts);
  void take(std::vector<std::int32_t> starts);
  void raise_bound(std::int64_t conflicts);
  bool first_solution();
  void close_gap();
  bool closed() const { return answer_.makespan >= 0 && answer_.makespan <= answer_.lower_bound; }
  bool out_of_limits() const {
    return answer_.conflicts >= limits_.conflicts || watch_.cpu_seconds() >= limits_.cpu_seconds;
  }
  Limits slice(std::int64_t conflicts) const {
    return {std::min(conflicts, limits_.conflicts - answer_.conflicts),
            limits_.cpu_seconds - watch_.cpu_seconds()};
  }

  struct Share {
    std::int32_t part = 1;  // one part in so many
    void use(const ProjectAnswer& answer, const std::function<void()>& means);
  };

  const ProjectInstance& project_;
  Limits limits_;
  Stopwatch watch_;
  Solver solver_;
  std::uint64_t seed_;
  std::mt19937_64 random_;
  double window_ = 0.3;  // share of the makespan that is reworked at once
  std::vector<Var> starts_;
  Var end_;
  std::optional<Breeding> breeding_;
  ProjectAnswer answer_;
};

// Returns false if the lags alone, or with pairs that exceed a capacity, allow no schedule.
bool ProjectSearch::post() {
  const auto n = static_cast<std::int32_t>(project_.activities.size());
  Distances distances(project_);
  if (distances.cycle()) return false;
  const PairsApart pairs = pairs_apart(project_, distances);
  if (pairs.impossible) return false;
  const std::int32_t far = horizon(project_);
  for (std::int32_t i = 0; i < n; ++i) starts_.push_back(solver_.integer(0, far));
  end_ = solver_.integer(0, far, Turn::last);
  for (std::int32_t i = 0; i < n; ++i) solver_.lag(starts_[at(i)], end_, project_.activities[at(i)].duration);
  for (const auto& l : project_.lags) solver_.lag(starts_[at(l.from)], starts_[at(l.to)], l.lag);
  const auto task = [&](std::int32_t i, std::int32_t demand) {
    return Task{starts_[at(i)], project_.activities[at(i)].duration, demand};
  };
  for (std::size_t k = 0; k < project_.capacity.size(); ++k) {
    std::vector<Task> tasks;
    for (std::int32_t i = 0; i < n; ++i) tasks.push_back(task(i, project_.activities[at(i)].demand[k]));
    require_capacity(solver_, tasks, project_.capacity[k]);
  }
  for (const auto& [i, j] : pairs.decided)
    solver_.lag(starts_[at(i)], starts_[at(j)], project_.activities[at(i)].duration);
  for (const auto& [i, j] : pairs.either) require_apart(solver_, task(i, 1), task(j, 1));
  return true;
}

void ProjectSearch::take(std::vector<std::int32_t> starts) {
  std::int32_t end = 0;
  for (std::size_t i = 0; i < starts.size(); ++i)
    end = std::max(end, starts[i] + project_.activities[i].duration);
  if (answer_.makespan >= 0 && end >= answer_.makespan) return;
  for (std::size_t i = 0; i < starts.size(); ++i) solver_.hint(starts_[i], starts[i]);
  answer_.makespan = end;
  answer_.starts = std::move(starts);
  // From here on only a better one is of interest, and what follows from that need not be assumed each time.
  solver_.require(at_most(end_, end - 1));
}

void ProjectSearch::quick_schedules(std::int32_t count) {
  if (!breeding_ || closed()) return;
  if (!answer_.starts.empty() && breeding_->best().makespan > answer_.makespan)
    breeding_->join(answer_.starts);
  constexpr std::int32_t kBetweenLooks = 500;  // at the clock
  for (std::int32_t left = count; left > 0; left -= kBetweenLooks) {
    breeding_->breed(std::min(left, kBetweenLooks));
    if (out_of_limits()) break;
  }
  take(breeding_->best().starts);
}

ProjectSearch::Found ProjectSearch::look_for(std::int32_t makespan, std::int64_t conflicts) {
  const Literal soon[] = {at_most(end_, makespan)};
  const Found found = ask(soon, conflicts);
  if (found == Found::refuted) answer_.lower_bound = std::max(answer_.lower_bound, makespan + 1);
  return found;
}

ProjectSearch::Found ProjectSearch::ask(std::span<const Literal> wishes, std::int64_t conflicts) {
  const Answer found = solver_.solve(wishes, slice(conflicts));
  answer_.conflicts += found.effort.conflicts;
  if (found.status == Status::infeasible) return Found::refuted;
  if (!found.solved()) return Found::limit;
  std::vector<std::int32_t> starts;
  for (const Var s : starts_) starts.push_back(found.value(s));
  take(std::move(starts));
  return Found::better;
}

// A neighbourhood of the best schedule: what lies before a window of time may not come later than it does,
// what lies after it must come sooner, and what lies in it is free. The window grows where that is quickly
// seen to be impossible and shrinks where it is too much to decide.
//
//     |--- as it is, or sooner ---|#### free ####|--- at least 1 sooner ---|
void ProjectSearch::rework_windows(std::int64_t conflicts) {
  constexpr std::int64_t kOneTry = 200;
  const std::int64_t until = answer_.conflicts + conflicts;
  while (!closed() && !out_of_limits() && answer_.conflicts < until) {
    const std::int64_t before = answer_.conflicts;
    const double middle = static_cast<double>(random_() >> 11) * 0x1p-53 * answer_.makespan;
    const double reach = window_ * answer_.makespan / 2;
    std::vector<Literal> wishes;
    for (std::size_t i = 0; i < starts_.size(); ++i) {
      const std::int32_t start = answer_.starts[i];
      if (start + project_.activities[i].duration <= middle - reach)
        wishes.push_back(at_most(starts_[i], start));
      else if (start >= middle + reach)
        wishes.push_back(at_most(starts_[i], start - 1));
    }
    const Found found = ask(wishes, kOneTry);
    if (found == Found::refuted) window_ = std::min(0.9, window_ * 1.05);
    if (found == Found::limit) window_ = std::max(0.05, window_ / 1.05);
    if (answer_.conflicts == before) ++answer_.conflicts;  // so that the loop ends
  }
}

// Refutes one makespan after another from below, as long as each falls within `conflicts`.
void ProjectSearch::raise_bound(std::int64_t conflicts) {
  while (!closed() && !out_of_limits() && look_for(answer_.lower_bound, conflicts) == Found::refuted) {
  }
}

// Returns false if there is none, or no time to find one.
bool ProjectSearch::first_solution() {
  if (!answer_.starts.empty()) return true;
  const Found found = look_for(solver_.high(end_), limits_.conflicts);
  if (found == Found::refuted) answer_.status = Status::infeasible;
  return found == Found::better;
}

// A means that got nowhere gets half as much of the next round, down to a sixteenth; one that did gets all of
// it.
void ProjectSearch::Share::use(const ProjectAnswer& answer, const std::function<void()>& means) {
  const std::int32_t gap = answer.makespan - answer.lower_bound;
  means();
  part = answer.makespan - answer.lower_bound < gap ? 1 : std::min(2 * part, 16);
}

void ProjectSearch::close_gap() {
  std::int64_t budget = 300;
  Share bound, windows, breeding;
  while (!closed() && !out_of_limits()) {
    while (!closed() && !out_of_limits() && look_for(answer_.makespan - 1, budget) == Found::better) {
    }
    if (closed() || out_of_limits()) return;
    bound.use(answer_, [&] { raise_bound(budget / 8 / bound.part); });
    windows.use(answer_, [&] { rework_windows(budget / windows.part); });
    breeding.use(answer_, [&] {
      constexpr std::int64_t kChildren = 8, kMost = 160000;  // for each conflict that is given to the learner, and in one round
      quick_schedules(static_cast<std::int32_t>(std::min(kChildren * budget, kMost) / breeding.part));
    });
    budget = budget * 3 / 2;
  }
}

ProjectAnswer ProjectSearch::run() {
  answer_.status = Status::stopped;
  if (!post()) {
    answer_.status = Status::infeasible;
    return answer_;
  }
  if (ListScheduler::fits(project_)) breeding_.emplace(project_, seed_);
  answer_.lower_bound = solver_.low(end_);
  quick_schedules(10);
  if (first_solution()) {
    raise_bound(20);
    close_gap();
    answer_.status = closed() ? Status::optimal : Status::feasible;
    if (closed()) answer_.lower_bound = answer_.makespan;
  }
  answer_.cpu_seconds = watch_.cpu_seconds();
  return answer_;
}

}  // namespace

ProjectAnswer solve_project(const ProjectInstance& project, Limits limits, std::uint64_t seed) {
  return ProjectSearch(project, limits, seed).run();
}

}  // namespace handlot::engine
