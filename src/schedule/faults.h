// faults.h: work that no schedule can do, told at once and in words.
#pragma once

#include <vector>

#include "plan/reason.h"
#include "plan/schedule.h"

namespace handlot::schedule {

/// What is wrong with the work by itself, before any search:
///   names that nothing has, numbers that make no sense (negative times, no units, sizes the wrong way
///   round); no hours or nobody for hands-on work; a step longer than any shop interval that may not pause;
///   a resource smaller than one need; links that ask for more time round a circle than there is.
///
/// Returns  one reason a fault, by step and link; for a circle the links of it. Empty: nothing found, which
/// is not yet a
///          promise that a schedule exists.
/// Cost     steps x links.
std::vector<plan::Reason> faults(const plan::Work& work);

}  // namespace handlot::schedule
