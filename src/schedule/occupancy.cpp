#include "schedule/occupancy.h"

#include <algorithm>
#include <memory>

namespace handlot::schedule {

using engine::Literal;
using engine::State;
using engine::Trail;

namespace {

bool covers(const Trail& trail, const Holding& h, Time moment) {
  return trail.holds(h.present) && trail.high(h.start) <= moment && trail.low(h.release) + h.after > moment;
}

}  // namespace

void Occupancy::post(State& state, std::vector<Holding> holdings, int capacity) {
  auto* rule = new Occupancy(std::move(holdings), capacity);
  const auto number = state.add(std::unique_ptr<Occupancy>(rule), 2);
  for (const Holding& h : rule->holdings_) {
    state.wake(number, engine::falling(h.start));
    state.wake(number, engine::rising(h.release));
    if (h.present != engine::kAlways) state.wake(number, h.present.view);
  }
}

bool Occupancy::propagate(State& state) {
  const Trail& trail = state.trail();
  // The load can only rise where some compulsory part begins.
  for (const Holding& h : holdings_) {
    const Time begin = trail.high(h.start);
    if (covers(trail, h, begin) && !overload(state, begin)) return false;
  }
  return true;
}

bool Occupancy::overload(State& state, Time moment) const {
  const Trail& trail = state.trail();
  int load = 0;
  std::vector<Literal> because;
  for (const Holding& h : holdings_) {
    if (load > capacity_) break;
    if (h.demand == 0 || !covers(trail, h, moment)) continue;
    load += h.demand;
    because.push_back(engine::at_most(h.start, static_cast<std::int32_t>(moment)));
    because.push_back(engine::at_least(h.release, static_cast<std::int32_t>(moment + 1 - h.after)));
    if (h.present != engine::kAlways) because.push_back(h.present);
  }
  return load <= capacity_ || state.clash(because);
}

}  // namespace handlot::schedule
