// brute_force.h: the slow twin of the schedule: every cut, every person, every start.
#pragma once

#include <cstdint>
#include <optional>

#include "plan/schedule.h"

namespace handlot::schedule::samples {

struct Found {
  bool found = false;    ///< a schedule that ends at `finish` or sooner
  bool gave_up = false;  ///< more nodes than allowed; says nothing
  plan::Schedule schedule;
};

/// Is there any schedule of `work` that ends by `finish` (seconds after the start) with at most `setups`
/// set-ups? Tries every size of every step, person of every operation, change-over or not, and every whole
/// second; a whole schedule is then judged by check() alone, half ones by links, hours and hands.
Found any_by(const plan::Work& work, std::int64_t finish, int setups, std::int64_t nodes);

}  // namespace handlot::schedule::samples
