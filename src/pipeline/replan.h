// replan.h: the rest of a plan scheduled anew from what is true.
#pragma once

#include <map>
#include <set>
#include <vector>

#include "core/diagnostic.h"
#include "plan/plan.h"

namespace handlot::pipeline {

/// A step that is finished, or in hand (with its expected end), for one unit (1-based; a step for the whole lot counts for every unit).
struct Done {
  StepId step;
  int unit = 1;
  Instant start;
  Instant end;
};

struct Progress {
  Instant now;
  std::vector<Done> done;
  std::set<int> scrapped;                     ///< units out of the lot
  std::map<StepId, Duration> own_run_times;   ///< learned hands-on times per unit, where the builder agrees
  std::map<ResourceId, Duration> away;        ///< not to be had for so long from now
};

/// The plan with a schedule for what is left, from `now` on. What was done stands in it with the times it took; order,
/// links and words are those of the given plan. Sub-batches are those of the plan, less what is done or scrapped.
///
/// Returns  a plan whose schedule covers every unit that is left; its status is infeasible, with the clash, when a
///          latest end can't be kept any more.
///          A latest end that has passed already is planned for at once.
/// Errors   replan-nothing-left: everything is done.
/// Cost     that of one schedule.
Result<plan::Plan> replan(const plan::Plan& plan, const Progress& progress, double seconds);

}  // namespace handlot::pipeline
