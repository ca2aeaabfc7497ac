// warm.h: which stations are to be switched on, so that they are hot when a step comes to them. The plan counts their
// warm-up, and nobody is told of it by the steps.
#pragma once

#include <vector>

#include "plan/plan.h"
#include "record/look.h"
#include "record/state.h"

namespace handlot::record {

struct WarmUp {
  const plan::Resource* station = nullptr;
  const plan::Step* step = nullptr;  ///< the next that needs it hot
  std::vector<int> units;            ///< those of its next operation; {0} = the whole lot
  double on_in_s = 0;                ///< from now; <= 0: now
  double begin_in_s = 0;             ///< the step comes about then: by what is still to be done before it, not before its planned time
};

/// Told from here before the moment to switch on [practice].
inline constexpr double kToldAheadSeconds = 15 * 60;

/// Stations that are cold by the record (nothing in them, and none since they stay warm), not reported as away, and near
/// their moment; in the order of the resources. What `next` (View::now) is to be begun on goes before the plan's order; of the
/// sub-batches of a step the one that can come first counts.
///
/// Cost  of Follow, once a station that warms up.
std::vector<WarmUp> to_warm(const plan::Plan& plan, const State& state, const Moment& now, const Task* next = nullptr);

}  // namespace handlot::record
