#include "schedule/time_to_spare.h"

#include <algorithm>

#include "plan/spare.h"

namespace handlot::schedule {

namespace {

constexpr std::int64_t kRounded = 30;

Duration spare_of(const plan::Constraint& c) {
  const std::int64_t window = (*c.max - std::max(c.min, Duration(0))).seconds;
  return Duration(static_cast<std::int64_t>(plan::time_to_spare(Seconds(static_cast<double>(window))).value) / kRounded * kRounded);
}

}  // namespace

plan::Work with_time_to_spare(plan::Work work) {
  for (plan::Constraint& c : work.constraints) {
    if (c.max) c.max = *c.max - spare_of(c);
  }
  return work;
}

}  // namespace handlot::schedule
