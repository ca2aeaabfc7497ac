#include "engine/linear.h"

#include <algorithm>

namespace handlot::engine {

namespace {
std::int64_t floor_divide(std::int64_t a, std::int64_t b) {
  return a / b - (a % b < 0 ? 1 : 0);
}
}  // namespace

void Linear::post(State& state, std::span<const Term> terms, std::int64_t limit, Literal when) {
  auto made = std::make_unique<Linear>();
  Linear& it = *made;
  it.limit_ = limit;
  it.when_ = when;
  for (const Term& t : terms) {
    if (t.weight > 0) it.parts_.add({t.weight, rising(t.x)});
    if (t.weight < 0) it.parts_.add({-std::int64_t{t.weight}, falling(t.x)});
  }
  it.number_ = state.add(std::move(made), 0);
  for (const Part& p : it.parts_) state.wake(it.number_, p.view);
  if (when != kAlways) state.wake(it.number_, when.view);
}

void require_at_most(Solver& solver, std::span<const Term> terms, std::int64_t limit, Literal when) {
  Linear::post(solver.state(), terms, limit, when);
}

void require_sum(Solver& solver, std::span<const Term> terms, Var total) {
  std::vector<Term> under(terms.begin(), terms.end());
  under.push_back({-1, total});
  require_at_most(solver, under, 0);
  for (Term& t : under) t.weight = -t.weight;
  require_at_most(solver, under, 0);
}

bool Linear::propagate(State& state) {
  const Trail& trail = state.trail();
  if (trail.fails(when_)) return true;
  std::int64_t least = 0;
  for (const Part& p : parts_) least += p.weight * trail.low(p.view);
  if (least > limit_) {
    std::vector<Literal> because;
    reasons(trail, -1, least - limit_ - 1, trail.count(), because);
    return state.set_because(~when_, because);
  }
  if (!trail.holds(when_)) return true;
  for (std::int32_t i = 0; i < parts_.count(); ++i) {
    const Part& p = parts_[i];
    const std::int64_t room = floor_divide(limit_ - least, p.weight);
    const std::int64_t most = trail.low(p.view) + room;
    if (most >= -std::int64_t{trail.low(opposite(p.view))}) continue;
    if (!state.set({opposite(p.view), static_cast<std::int32_t>(-most)}, {number_, i, 0})) return false;
  }
  return true;
}

// The other terms' bounds, each asked for only as far as the sum needs it: `over` is what can be given away.
void Linear::reasons(const Trail& trail, std::int32_t but, std::int64_t over, std::int32_t position,
                     std::vector<Literal>& because) const {
  struct Bound {
    std::int32_t known_at, part, low;
  };
  std::vector<Bound> bounds;
  for (std::int32_t j = 0; j < parts_.count(); ++j) {
    if (j == but) continue;
    const std::int32_t low = trail.low_before(parts_[j].view, position);
    bounds.push_back({trail.latest_before(parts_[j].view, position), j, low});
  }
  std::sort(bounds.begin(), bounds.end(), [](const Bound& a, const Bound& b) {
    return a.known_at != b.known_at ? a.known_at > b.known_at : a.part < b.part;
  });
  for (const Bound& b : bounds) {
    const Part& p = parts_[b.part];
    const std::int64_t down = std::min(over / p.weight, std::int64_t{b.low} - trail.root_low(p.view));
    over -= down * p.weight;
    if (b.low - down > trail.root_low(p.view))
      because.push_back({p.view, static_cast<std::int32_t>(b.low - down)});
  }
}

void Linear::explain(const Trail& trail, Literal what, std::int32_t position, Reason reason,
                     std::vector<Literal>& because) const {
  // what: view <= most. One more would need the others' least sum to exceed limit - weight * (most + 1).
  const Part& p = parts_[reason.datum];
  std::int64_t over = p.weight * (1 - std::int64_t{what.bound}) - limit_ - 1;
  for (std::int32_t j = 0; j < parts_.count(); ++j)
    if (j != reason.datum) over += parts_[j].weight * trail.low_before(parts_[j].view, position);
  reasons(trail, reason.datum, over, position, because);
  if (when_ != kAlways) because.push_back(when_);
}

}  // namespace handlot::engine
