#include "bench/difference.h"

#include <algorithm>
#include <map>
#include <tuple>

#include "plan/units.h"

namespace handlot::bench {
namespace {

using Key = std::pair<StepId, int>;

struct Start {
  Instant at;
  bool done = false;
};

std::map<Key, Start> starts(const plan::Schedule& schedule) {
  std::map<Key, Start> out;
  for (const auto& op : schedule.operations)
    for (const int n : plan::units_in(op))
      out.emplace(Key{op.step, n}, Start{op.start, op.because == "done"});
  return out;
}

/// Nobody sees it at the bench [practice].
constexpr Duration kNoMove{30};

bool stays(Instant before, Instant after) { return before - after <= kNoMove && after - before <= kNoMove; }

/// Joins `shift` to the last one when it is the next unit and moves alike.
void join(std::vector<Shift>& out, const Shift& shift) {
  if (!out.empty()) {
    Shift& last = out.back();
    if (last.step == shift.step && last.last_unit + 1 == shift.first_unit && last.before == shift.before &&
        last.after == shift.after) {
      last.last_unit = shift.last_unit;
      return;
    }
  }
  out.push_back(shift);
}

}  // namespace

Difference difference(const plan::Schedule& before, const plan::Schedule& after) {
  Difference out;
  out.finish_before = before.finish;
  out.finish_after = after.finish;
  const auto old = starts(before);
  const auto anew = starts(after);
  std::vector<std::tuple<Instant, StepId, int>> order;
  for (const auto& [key, start] : anew)
    if (!start.done) order.emplace_back(start.at, key.first, key.second);
  std::sort(order.begin(), order.end());
  for (const auto& [at, step, unit] : order) {
    const auto was = old.find({step, unit});
    if (was != old.end() && stays(was->second.at, at)) {
      ++out.unmoved;
      continue;
    }
    join(out.shifts, {step, unit, unit, was == old.end() ? std::nullopt : std::optional(was->second.at), at});
  }
  for (const auto& [key, start] : old)
    if (!anew.count(key)) join(out.shifts, {key.first, key.second, key.second, start.at, std::nullopt});
  return out;
}

}  // namespace handlot::bench
