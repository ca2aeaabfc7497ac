// hours.h: spans of time, one list less another.
#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

#include "plan/schedule.h"

namespace handlot::plan {

/// What of `open` no span of `there` covers. Given  both ascending, and neither touches itself. Cost  both, once.
inline std::vector<Interval> without(const std::vector<Interval>& open, const std::vector<Interval>& there) {
  std::vector<Interval> rest;
  std::size_t next = 0;
  for (const Interval& o : open) {
    Instant from = o.open;
    while (next < there.size() && there[next].close <= from) ++next;
    for (std::size_t i = next; i < there.size() && there[i].open < o.close; ++i) {
      if (from < there[i].open) rest.push_back({from, there[i].open});
      from = std::max(from, there[i].close);
    }
    if (from < o.close) rest.push_back({from, o.close});
  }
  return rest;
}

}  // namespace handlot::plan
