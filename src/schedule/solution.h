// solution.h: a schedule in numbers, and what schedules are compared by.
#pragma once

#include <compare>
#include <vector>

#include "schedule/tasks.h"

namespace handlot::schedule {

/// In this order; smaller is better.
struct Score {
  Time finish = kNever;
  int setups = 0;
  Time waiting =
      0;  ///< shop hours between somebody's first and last hands-on moment in which he does nothing
  Time tightness = 0;  ///< minus the smallest slack to a latest end; 0 when there are no clocks
  auto operator<=>(const Score&) const = default;
};

Score score_of(const TaskSet& set, const Placement& placement);

/// How often somebody's hands go from one step to another.
int changes_of_work(const TaskSet& set, const Placement& placement);

struct Solution {
  std::vector<int> sizes;
  TaskSet set;
  Placement placement;
  Score score;
};

}  // namespace handlot::schedule
