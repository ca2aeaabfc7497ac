#include "record/warm.h"

#include <algorithm>

#include "plan/units.h"
#include "record/admit.h"
#include "record/follow.h"
#include "record/places.h"

namespace handlot::record {
namespace {

bool uses(const plan::Step& step, const plan::Resource& station) {
  return std::any_of(step.timing.uses.begin(), step.timing.uses.end(), [&](const plan::Use& use) { return use.resource == station.id; });
}

/// In use now, or used so short a time ago that it has not gone cold.
bool is_warm(const plan::Plan& plan, const State& state, const plan::Resource& station, const Moment& now) {
  return std::any_of(plan.work.steps.begin(), plan.work.steps.end(), [&](const plan::Step& step) {
    if (!uses(step, station)) return false;
    const LastOut out = last_out(state, step.id);
    return out.going_on || (out.ended && elapsed(*out.ended, now, state.gaps).most_s <= static_cast<double>(station.stays_warm.seconds));
  });
}

std::vector<int> to_do(const State& state, const plan::Step& step, const plan::Operation& op) {
  std::vector<int> out;
  const auto open = [&](int unit) {
    const Cell* cell = cell_of(state, step, unit);
    return !cell || cell->stand == Stand::open || cell->stand == Stand::again;
  };
  if (step.timing.whole_lot) return open(0) ? std::vector<int>{0} : out;
  for (const int n : plan::units_in(op))
    if (state.in_lot(n) && open(n)) out.push_back(n);
  return out;
}

/// The hands bring all the units to it one by one.
double begins_in_s(const plan::Plan& plan, const State& state, const Follow& follow, const plan::Step& step, const std::vector<int>& units, const Moment& now) {
  double soonest = follow.soonest_s(step, units.front());
  for (const Obstacle& o : obstacles(plan, state, step, units.front(), plan::Edge::start, now)) {
    const auto* before = o.kind == Obstacle::Kind::order ? find_step(plan, o.other) : nullptr;
    if (before) soonest += follow.hands_s(*before, units.size()) - follow.hands_s(*before, 1);
  }
  return soonest;
}

/// The first step of the plan that still needs the station, with those of its sub-batches that come first.
std::optional<WarmUp> next_at(const plan::Plan& plan, const State& state, const Follow& follow, const plan::Resource& station, const Moment& now) {
  std::optional<WarmUp> first;
  for (const plan::Operation& op : plan.schedule.operations) {
    const auto* step = find_step(plan, op.step);
    if (!step || !uses(*step, station) || (first && first->step != step)) continue;
    const auto units = to_do(state, *step, op);
    if (units.empty()) continue;
    const double planned = static_cast<double>(op.start.seconds) - static_cast<double>(now.wall_ms) / 1000;
    const double begin = std::max({0.0, planned, begins_in_s(plan, state, follow, *step, units, now)});
    if (!first || begin < first->begin_in_s) first = WarmUp{&station, step, units, begin - static_cast<double>(station.warm_up.seconds), begin};
  }
  return first;
}

}  // namespace

std::vector<WarmUp> to_warm(const plan::Plan& plan, const State& state, const Moment& now, const Task* next) {
  std::vector<WarmUp> out;
  const Follow follow(plan, state, now);
  const auto away = missing(plan, state, now);
  for (const plan::Resource& station : plan.work.resources) {
    const bool gone = std::any_of(away.begin(), away.end(), [&](const Missing& m) { return m.resource == &station; });
    if (station.warm_up.seconds <= 0 || gone || is_warm(plan, state, station, now)) continue;
    const auto* begun = next && next->ready && !next->in_hand ? find_step(plan, next->step) : nullptr;
    if (begun && uses(*begun, station)) {
      out.push_back({&station, begun, next->units, -static_cast<double>(station.warm_up.seconds), 0});
      continue;
    }
    const auto warm = next_at(plan, state, follow, station, now);
    if (warm && warm->on_in_s <= kToldAheadSeconds && follow.too_early(warm->step->id, warm->units).empty()) out.push_back(*warm);
  }
  return out;
}

}  // namespace handlot::record
