// serial.h: a schedule at once: task after task, each at the first moment that everything allows.
#pragma once

#include <optional>
#include <vector>

#include "schedule/tasks.h"

namespace handlot::schedule {

/// Which task is placed next: those with a running clock (a maximum link shorter than `urgent_within` from a
/// placed task) by their latest end, then by `rank`, highest first, then as listed.
struct Rule {
  std::vector<Time> rank;  ///< one a task
  Time urgent_within = kNever;
};

/// Time from each task's start to the end of everything that must follow it: the usual rank.
std::vector<Time> tails(const TaskSet& set);

/// Serial generation with repair: a task that cannot make its latest end sends the task that started the
/// clock to a later time, and everything placed since is taken back.
///
/// Returns  a placement that keeps every rule of check.h; none if `repairs` were not enough, or what is left
/// blocks
///          itself: that is no proof that there is none.
/// Cost     tasks squared, times repairs in the worst case.
std::optional<Placement> place_serially(const TaskSet& set, const Rule& rule, int repairs);

}  // namespace handlot::schedule
