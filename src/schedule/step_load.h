// step_load.h: the least that a step costs, whatever its sub-batches.
#pragma once

#include "plan/schedule.h"
#include "schedule/shop_hours.h"
#include "schedule/tasks.h"

namespace handlot::schedule {

Time hands_of(const plan::Timing& timing, const Run& run);  ///< without change-over
Time alone_of(const plan::Timing& timing, const Run& run);  ///< after the hands

/// Minima over a choice of sizes, each by itself.
struct StepLoad {
  Time shortest_hands = 0;  ///< of one operation
  Time shortest_alone = 0;
  Time total_hands = 0;  ///< of the lot
  Time shortest = 0;     ///< hands + alone of one operation
};

/// Runs by itself from its start on: somebody must be there to begin it all the same.
bool must_be_begun(const plan::Timing& timing, const Run& run);

/// `to` needs no station but those that `from` has: nothing is carried over between them.
bool stays_on_station(const plan::Work& work, const plan::Timing& from, const plan::Timing& to);

StepLoad step_load(const plan::Timing& timing, int units, const std::vector<int>& sizes);

}  // namespace handlot::schedule
