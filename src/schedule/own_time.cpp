#include "schedule/own_time.h"

#include <algorithm>

namespace handlot::schedule {

using plan::Edge;

Time own_offset(const plan::Timing& timing, const Run& run, int unit, Edge edge) {
  if (!timing.hands_on || !timing.run_per_unit) return 0;
  if (edge == Edge::start) return (unit - run.first) * timing.run.seconds;
  return timing.unattended.seconds > 0 ? 0 : -(run.last - unit) * timing.run.seconds;
}

Time own_time_loss(const plan::Constraint& link, const plan::Timing& from, const Run& a, const plan::Timing& to, const Run& b) {
  const auto loss = [&](int left, int taken) {
    return own_offset(to, b, taken, link.to.edge) - own_offset(from, a, left, link.from.edge);
  };
  if (link.scope == plan::Scope::lot) return std::max<Time>(0, loss(a.first, b.last));
  // Both offsets grow evenly with the unit: the most is at one end of what they share.
  const int first = std::max(a.first, b.first), last = std::min(a.last, b.last);
  return first > last ? 0 : std::max<Time>({0, loss(first, first), loss(last, last)});
}

Time wait_within(const plan::Constraint& link, const plan::Timing& timing, const Run& run) {
  if (link.from.edge != Edge::end || link.to.edge != Edge::start || !timing.hands_on || !timing.run_per_unit) return 0;
  return (run.size() - 1) * timing.run.seconds;
}

}  // namespace handlot::schedule
