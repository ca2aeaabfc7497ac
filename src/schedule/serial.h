// serial.h: a schedule at once: task after task, each at the first moment that everything allows.
#pragma once

#include <optional>
#include <vector>

#include "schedule/long_stays.h"
#include "schedule/tasks.h"

namespace handlot::schedule {

/// Which task is placed next: those with a running clock (a maximum link shorter than `urgent_within` from a
/// placed task) by their latest end, then by `rank`, highest first, then as listed.
struct Rule {
  std::vector<Time> rank;  ///< one a task
  Time urgent_within = kNever;
  /// A task that stands where what must follow ends after this gives the whole schedule up; `tail` is of tails().
  Time latest_finish = kNever;
  std::vector<Time> tail{};
  /// Of long_stays(). Where they are given, a stay that leaves its place empty until somebody comes lets one go first that
  /// costs less, waiting and emptiness together:
  ///
  ///   Fri 10:00   |-- 24 h --|.......... empty ..........|   Mon 08:30
  ///               |-------------- 72 h ---------------|
  const std::vector<std::optional<LongStay>>* stays = nullptr;
  /// Hands that can go on at once with another unit of the step they were at do so, unless a clock runs or what must follow
  /// would end later than this long before the latest finish.
  ///
  ///     solder 1 | label 1 | solder 2 | label 2      becomes      solder 1 | solder 2 | label 1 | label 2
  std::optional<Time> stay_within{};
  Time stay_reach = kNever;  ///< and are ranked no further behind than this
  std::vector<Time> not_before{};  ///< one a task, or none at all
};

/// Time from each task's start to the end of everything that must follow it: the usual rank.
std::vector<Time> tails(const TaskSet& set);

/// What must be placed before what: the links of a TaskSet by task, once for many schedules of it.
struct Precedence {
  explicit Precedence(const TaskSet& set);
  std::vector<std::vector<int>> before, after;  ///< tasks, circles of links left out
  std::vector<std::vector<int>> links;          ///< numbers in TaskSet::links that touch each task
};

/// Serial generation with repair: a task that cannot make its latest end sends the task that started the
/// clock to a later time, and everything placed since is taken back.
///
/// Given    `precedence` of the same set.
/// Returns  a placement that keeps every rule of check.h; none if `repairs` were not enough, what is left blocks
///          itself, or the latest finish was passed: that is no proof that there is none.
/// Cost     tasks squared, times repairs in the worst case.
std::optional<Placement> place_serially(const TaskSet& set, const Precedence& precedence, const Rule& rule,
                                        int repairs);

}  // namespace handlot::schedule
