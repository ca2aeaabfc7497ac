#include "engine/lags.h"

#include <algorithm>

namespace handlot::engine {

void Lags::grow(View view) {
  while (always_.count() <= view) {
    always_.add({});
    sometimes_.add({});
    conditions_.add({});
    walked_.add(0);
  }
}

bool Lags::add(State& state, Arc arc) {
  const Trail& trail = state.trail();
  if (trail.fails(arc.when)) return true;
  const std::int32_t a = arcs_.count();
  arcs_.add(arc);
  grow(std::max({rising(arc.from), rising(arc.to), arc.when.view}) | 1);
  const Push ahead{rising(arc.to), arc.lag, 2 * a, arc.when};
  const Push back{falling(arc.from), arc.lag, 2 * a + 1, arc.when};
  auto& rows = trail.holds(arc.when) ? always_ : sometimes_;
  rows[rising(arc.from)].push_back(ahead);
  rows[falling(arc.to)].push_back(back);
  if (trail.holds(arc.when))
    return push(state, ahead, trail.low(rising(arc.from))) && push(state, back, trail.low(falling(arc.to)));
  conditions_[arc.when.view].push_back(a);
  return conditional(state, ahead, rising(arc.from), trail.low(rising(arc.from)));
}

bool Lags::push(State& state, const Push& push, std::int32_t low) {
  constexpr std::int32_t kLookEvery = 128;
  const Literal next{push.to, low + push.lag};
  if (state.trail().holds(next)) return true;
  if (!state.set(next, {number_, push.datum})) return false;
  if (++pushed_ < kLookEvery) return true;
  pushed_ = 0;
  return clear_of_circles(state, push.to);
}

// Every arc on the way holds now, and its target is no higher than its source and lag. So round a circle the lags sum up
// to at least nothing; where it is more, the arcs cannot all hold.
bool Lags::clear_of_circles(State& state, View view) {
  const Trail& trail = state.trail();
  const auto made_by_arc = [&](View v) { return trail.latest(v) >= 0 && trail[trail.latest(v)].reason.source == number_; };
  const auto source = [&](std::int32_t datum) {
    const Arc& arc = arcs_[datum / 2];
    return datum % 2 == 0 ? rising(arc.from) : falling(arc.to);
  };
  ++walk_;
  for (; walked_[view] != walk_; view = source(trail[trail.latest(view)].reason.datum)) {
    if (!made_by_arc(view)) return true;
    walked_[view] = walk_;
  }
  std::int64_t sum = 0;
  std::vector<Literal> conditions;
  View v = view;
  do {
    const std::int32_t datum = trail[trail.latest(v)].reason.datum;
    sum += arcs_[datum / 2].lag;
    if (arcs_[datum / 2].when != kAlways) conditions.push_back(arcs_[datum / 2].when);
    v = source(datum);
  } while (v != view);
  return sum <= 0 || state.clash(conditions);
}

bool Lags::conditional(State& state, const Push& push, View from, std::int32_t low) {
  const Trail& trail = state.trail();
  if (trail.holds(push.when)) return this->push(state, push, low);
  const std::int32_t room = -trail.low(opposite(push.to));  // the target can be at most this
  if (low + push.lag <= room || trail.fails(push.when)) return true;
  // The weakest bound of the source that still does not fit leaves the widest reason.
  const Literal because[] = {{from, room - push.lag + 1}, {opposite(push.to), -room}};
  return state.set_because(~push.when, because);
}

bool Lags::on_raise(State& state, const Entry& entry) {
  const View view = entry.made.view;
  if (view >= always_.count()) return true;
  const Trail& trail = state.trail();
  const std::int32_t low = trail.low(view);
  if (low == entry.made.bound) {  // else a later entry of this view will be heard
    for (const Push& p : always_[view])
      if (!push(state, p, low)) return false;
    for (const Push& p : sometimes_[view])
      if (!conditional(state, p, view, low)) return false;
  }
  for (const std::int32_t a : conditions_[view]) {
    const Arc& arc = arcs_[a];
    if (!trail.holds(arc.when)) continue;
    if (!push(state, {rising(arc.to), arc.lag, 2 * a, arc.when}, trail.low(arc.from))) return false;
    if (!push(state, {falling(arc.from), arc.lag, 2 * a + 1, arc.when}, -trail.high(arc.to))) return false;
  }
  return true;
}

void Lags::explain(const Trail&, Literal what, std::int32_t, Reason reason,
                   std::vector<Literal>& because) const {
  const Arc& arc = arcs_[reason.datum / 2];
  const View source = reason.datum % 2 == 0 ? rising(arc.from) : falling(arc.to);
  because.push_back({source, what.bound - arc.lag});
  if (arc.when != kAlways) because.push_back(arc.when);
}

}  // namespace handlot::engine
