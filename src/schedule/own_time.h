// own_time.h: when one unit of a sub-batch is taken up and left.
#pragma once

#include "plan/constraint.h"
#include "plan/step.h"
#include "schedule/shop_hours.h"
#include "schedule/tasks.h"

namespace handlot::schedule {

/// Seconds from the sub-batch's event to the unit's own. Where a run is hands-on and per unit, units are taken up one
/// after another and left one after another; an unattended part they have in common.
///
///   start |set-up|  1  |  2  |  3  | end        unit 2: one run after the start, one run before the end (-)
///
/// Set-up and pauses are left out.
/// Given    `unit` is one of `run`.
Time own_offset(const plan::Timing& timing, const Run& run, int unit, plan::Edge edge);

/// What a latest end loses of its time because units of these sub-batches are done one after another; 0 where no two
/// units that it joins are in them.
Time own_time_loss(const plan::Constraint& link, const plan::Timing& from, const Run& a, const plan::Timing& to, const Run& b);

/// The least that a unit of `run` waits from its own end to its own start, were both steps done without a gap; 0 for
/// latest ends that do not go from an end to a start.
Time wait_within(const plan::Constraint& link, const plan::Timing& timing, const Run& run);

}  // namespace handlot::schedule
