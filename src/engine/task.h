// task.h: an activity as the resource constraints see it.
#pragma once

#include "engine/solver.h"

namespace handlot::engine {

/// Something that holds part of a resource from `start` for `duration`.
///
///     start              start + duration
///       |====================|          holds `demand` of the resource in [start, start + duration)
///
/// A task of duration 0 holds nothing.
struct Task {
  Var start;
  std::int32_t duration = 0;  ///< used where `length` is not given
  std::int32_t demand = 1;
  Literal present = kAlways;  ///< the task is done at all; while undecided its start is not pushed about
  Var length = {};            ///< a duration that is itself to be found; its domain must be >= 0
};

/// Bounds of a task as they stand.
inline std::int32_t shortest(const Trail& trail, const Task& t) {
  return t.length.index >= 0 ? trail.low(t.length) : t.duration;
}

}  // namespace handlot::engine
