// spare.h: what hands keep of a latest end, for they are no clockwork. Plan and bench keep the same.
#pragma once

#include <algorithm>

#include "core/quantity.h"

namespace handlot::plan {

/// A quarter of what lies between the earliest and the latest end, half an hour at most [practice].
inline Seconds time_to_spare(Seconds window) {
  constexpr double kParts = 4;
  constexpr Seconds kMost(30 * 60);
  return std::clamp(window / kParts, Seconds(0), kMost);
}

}  // namespace handlot::plan
