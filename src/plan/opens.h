// opens.h: when the shop is open next.
#pragma once

#include <algorithm>
#include <vector>

#include "plan/schedule.h"

namespace handlot::plan {

/// The first moment from `at` on in which the shop is open; `at` itself past the hours that are known. Given  `hours` ascending.
inline Instant open_from(const std::vector<Interval>& hours, Instant at) {
  for (const Interval& h : hours) {
    if (at < h.close) return std::max(at, h.open);
  }
  return at;
}

}  // namespace handlot::plan
