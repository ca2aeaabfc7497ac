// sizes.h: which sub-batch sizes a step can have at all, and why not a larger one.
#pragma once

#include <string>
#include <vector>

#include "plan/schedule.h"

namespace handlot::schedule {

/// The sizes of sizes_of that a step can have by itself: its hands fit a shop interval, its needs the
/// resources, and for every running clock the hands-on work that must be done on all its units before the
/// clock ends fits in.
struct SizeChoice {
  std::vector<int> possible;  ///< ascending, never empty
  std::string
      limit;  ///< why no larger one: "'print' in sevens needs 5 h in one go"; empty when the lot is the limit
};

/// Given  faults(work) is empty.
/// Returns  one a step. Every size left out is proven impossible, or leaves a last sub-batch further under batch_min than
///          another does.
/// Cost   steps x sizes x links.
std::vector<SizeChoice> size_choices(const plan::Work& work);

}  // namespace handlot::schedule
