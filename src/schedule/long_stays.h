// long_stays.h: stays of hours at a place, by themselves, and the task whose start decides when they end.
#pragma once

#include <optional>
#include <vector>

#include "schedule/tasks.h"

namespace handlot::schedule {

/// A place taken for hours without hands. Somebody must come to fill it again, so a stay that ends on a Saturday keeps it
/// empty until Monday.
struct LongStay {
  int station = 0;
  Time ends_after = 0;  ///< the start that decides it, at the soonest
};

/// Of each task: its own long stay, or that of a task which a short clock draws behind it (oil, wipe, then the rack); none
/// for the rest.
/// Cost     tasks and links, times the longest chain of short clocks.
std::vector<std::optional<LongStay>> long_stays(const TaskSet& set);

/// Some station has stays of more than one length: which goes first at it is a choice.
bool differ(const std::vector<std::optional<LongStay>>& stays);

}  // namespace handlot::schedule
