// sub_batch.h: how many units a step may do at one go.
#pragma once

#include <algorithm>

#include "rules/rule.h"

namespace handlot::rules {

/// The units of the largest sub-batch that the job allows.
inline int largest_sub_batch(const Facts& facts, const job::Step& step) {
  return step.whole_lot || step.batch_max == 0 ? facts.job.units : std::min(step.batch_max, facts.job.units);
}

/// How long its run takes: unit after unit where the work is done so.
inline Duration run_of_largest(const Facts& facts, const job::Step& step) {
  return step.run_per_unit ? step.run * largest_sub_batch(facts, step) : step.run;
}

}  // namespace handlot::rules
