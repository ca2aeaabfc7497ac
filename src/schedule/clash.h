// clash.h: why there is no schedule, in as few reasons as possible.
#pragma once

#include <vector>

#include "engine/limits.h"
#include "plan/reason.h"
#include "plan/schedule.h"
#include "schedule/sizes.h"
#include "schedule/solve.h"

namespace handlot::schedule {

/// A set of rules that cannot all be kept, from which none can be left out: links, pairs kept apart, hands,
/// places of a station, warmth, clean stations, and the shop hours as a whole.
///
/// Given    faults(work) is empty, and no schedule exists (the engine has proven it).
/// Returns  the reasons in the order of the work; a set that could still be smaller if `limits` run out on
/// the way.
///          Which of several smallest sets is found depends on the work alone.
/// Cost     one proof a rule of the first set found.
std::vector<plan::Reason> smallest_clash(const plan::Work& work, const std::vector<SizeChoice>& choices,
                                         const engine::Limits& limits);

/// Latest ends without which, each by itself, a short serial search finds a schedule: what is worth looking at where none
/// was found and none is proven not to exist.
///
/// Given    faults(work) is empty.
/// Cost     a search a latest end, all of them within the seconds of `limits`.
std::vector<plan::Reason> latest_ends_in_the_way(const plan::Work& work, const Limits& limits, std::uint64_t seed);

/// The reason of a link with its steps and its times: beside others that clash with it they say why.
plan::Reason with_figures(const plan::Constraint& link);

}  // namespace handlot::schedule
