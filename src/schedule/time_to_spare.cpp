#include "schedule/time_to_spare.h"

#include <algorithm>

namespace handlot::schedule {

namespace {

constexpr std::int64_t kParts = 4;
constexpr std::int64_t kMost = 30 * 60;
constexpr std::int64_t kRounded = 30;

Duration spare_of(const plan::Constraint& c) {
  const std::int64_t window = (*c.max - std::max(c.min, Duration(0))).seconds;
  return Duration(std::clamp<std::int64_t>(window / kParts, 0, kMost) / kRounded * kRounded);
}

}  // namespace

plan::Work with_time_to_spare(plan::Work work) {
  for (plan::Constraint& c : work.constraints) {
    if (c.max) c.max = *c.max - spare_of(c);
  }
  return work;
}

}  // namespace handlot::schedule
