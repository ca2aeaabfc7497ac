// alarms.h: what runs now as entries of a calendar, so that a telephone rings although its browser sleeps.
#pragma once

#include <string>
#include <vector>

#include "plan/plan.h"
#include "record/state.h"
#include "record/timers.h"

namespace handlot::bench {

/// An iCalendar file (RFC 5545): for each wait that is not over an entry that ends with it and rings then, and
/// one before each latest end. What ends while the shop is shut rings when it opens, but for a run, and a wait with a latest end. Taken in once more after something changed, it updates the entries there are.
///
/// Given    `timers` of `now`; ends that the clock leaves in doubt are told by the time that surely went by.
std::string alarms(const plan::Plan& plan, const record::State& state,
                   const std::vector<record::Timer>& timers, const record::Moment& now);

}  // namespace handlot::bench
