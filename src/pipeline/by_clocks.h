// by_clocks.h: an order that no link states, and that waits and latest ends leave all the same.
#pragma once

#include <vector>

#include "plan/schedule.h"

namespace handlot::pipeline {

/// The waits and latest ends by which `b` can't end before `a` begins, in any unit:
///
///   wipe ----[ within 1 h ]----> rags          the rags come before the second coat,
///   wipe ----[ at least 1 d ]--> oil again     though nothing links the two
///
/// Returns  none where it can, or where the work has faults already.
/// Cost     one look for circles of links.
std::vector<plan::Constraint> clocks_put_first(const plan::Work& work, const StepId& a, const StepId& b);

}  // namespace handlot::pipeline
