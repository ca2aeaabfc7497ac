// reserve.h: places that a running clock will need. Whoever oils a case has a place on the rack when it is wiped, and nobody
// takes it for a day meanwhile.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "plan/plan.h"
#include "record/state.h"
#include "record/timers.h"

namespace handlot::record {

/// Why the step is better not begun with these units: it takes a place, for longer than until then, that a unit whose clock
/// runs must have; or it starts a clock at whose end there is no place. Empty: neither.
///
///   oil ---[10 min]--> wipe ---[30 min]--> on the rack, if one of its places is free by then and promised to nobody else
///
/// Looks along latest ends up to a day; a place that hands must first clear counts as taken.
/// Given    the step is ready for the units; `clocks` are timers(plan, state, now).
/// Cost     clocks x places.
std::string no_place_left(const plan::Plan& plan, const State& state, std::span<const Timer> clocks, const plan::Step& step, const std::vector<int>& units, const Moment& now);

}  // namespace handlot::record
