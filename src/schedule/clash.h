// clash.h: why there is no schedule, in as few reasons as possible.
#pragma once

#include <cstdint>
#include <vector>

#include "plan/reason.h"
#include "plan/schedule.h"
#include "schedule/sizes.h"

namespace handlot::schedule {

/// A set of rules that cannot all be kept, from which none can be left out: links, pairs kept apart, hands,
/// places of a station, warmth, clean stations, and the shop hours as a whole.
///
/// Given    faults(work) is empty, and no schedule exists (the engine has proven it).
/// Returns  the reasons in the order of the work; a set that could still be smaller if `conflicts` run out on
/// the way.
///          Which of several smallest sets is found depends on the work alone.
/// Cost     one proof a rule of the first set found.
std::vector<plan::Reason> smallest_clash(const plan::Work& work, const std::vector<SizeChoice>& choices,
                                         std::int64_t conflicts);

}  // namespace handlot::schedule
