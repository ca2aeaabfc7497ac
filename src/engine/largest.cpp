#include "engine/largest.h"

#include <algorithm>

namespace handlot::engine {

namespace {
constexpr std::int32_t kOfY = -1;  // datum: the conclusion is about y, not about a choice
}

void Largest::post(State& state, View y, std::vector<Choice> choices, Literal when) {
  auto made = std::make_unique<Largest>();
  Largest& it = *made;
  it.y_ = y;
  it.when_ = when;
  it.number_ = state.add(std::move(made), 0);
  state.wake(it.number_, y);
  if (when != kAlways) state.wake(it.number_, when.view);
  for (const Choice& c : choices) {
    it.choices_.add(c);
    state.wake(it.number_, opposite(c.view));
    if (c.present != kAlways) state.wake(it.number_, opposite(c.present.view));
  }
}

void require_largest(Solver& solver, Var y, std::span<const Candidate> candidates) {
  std::vector<Largest::Choice> choices;
  for (const Candidate& c : candidates) {
    solver.lag(c.x, y, 0, c.present);
    choices.push_back({rising(c.x), c.present});
  }
  Largest::post(solver.state(), rising(y), std::move(choices), kAlways);
}

void require_one_way(Solver& solver, Var start, Literal present, std::span<const Candidate> ways) {
  std::vector<Largest::Choice> later;
  std::vector<Largest::Choice> earlier;
  std::vector<Literal> some{~present};
  for (std::size_t i = 0; i < ways.size(); ++i) {
    const Candidate& way = ways[i];
    some.push_back(way.present);
    solver.clause({~way.present, present});
    for (std::size_t j = 0; j < i; ++j) solver.clause({~way.present, ~ways[j].present});
    solver.lag(way.x, start, 0, way.present);
    solver.lag(start, way.x, 0, way.present);
    later.push_back({rising(way.x), way.present});
    earlier.push_back({falling(way.x), way.present});
  }
  solver.clause(some);
  Largest::post(solver.state(), rising(start), std::move(later), present);
  Largest::post(solver.state(), falling(start), std::move(earlier), present);
}

bool Largest::propagate(State& state) {
  const Trail& trail = state.trail();
  if (!trail.holds(when_)) return true;
  std::int32_t most = -kFar;
  std::int32_t able = 0;  // choices that can reach y's lower bound
  std::int32_t last_able = -1;
  for (std::int32_t i = 0; i < choices_.count(); ++i) {
    if (trail.fails(choices_[i].present)) continue;
    const std::int32_t high = -trail.low(opposite(choices_[i].view));
    most = std::max(most, high);
    if (high < trail.low(y_)) continue;
    ++able;
    last_able = i;
  }
  // With no choice at all the clauses speak; y alone cannot be blamed.
  if (most == -kFar) return true;
  if (!state.set({opposite(y_), -most}, {number_, kOfY, 0})) return false;
  if (able != 1) return true;
  const Choice& only = choices_[last_able];
  const std::int32_t low = trail.low(y_);
  return state.set(only.present, {number_, last_able, low}) &&
         state.set({only.view, low}, {number_, last_able, low});
}

// Why no other choice reaches `bound`. A choice ruled out by its presence may also be out of reach: the one
// known earlier is named.
bool Largest::rest(const Trail& trail, std::int32_t bound, std::int32_t but, std::vector<Literal>& because,
                   std::int32_t position) const {
  for (std::int32_t j = 0; j < choices_.count(); ++j) {
    if (j == but) continue;
    const Literal absent = ~choices_[j].present;
    const Literal short_of{opposite(choices_[j].view), 1 - bound};
    const std::int32_t absent_at = trail.known_before(absent, position);
    const std::int32_t short_at = trail.known_before(short_of, position);
    const bool is_absent = absent_at != Trail::kNotYet, is_short = short_at != Trail::kNotYet;
    if (!is_absent && !is_short) return false;
    because.push_back(is_absent && (!is_short || absent_at < short_at) ? absent : short_of);
  }
  return true;
}

void Largest::explain(const Trail& trail, Literal what, std::int32_t position, Reason reason,
                      std::vector<Literal>& because) const {
  if (when_ != kAlways) because.push_back(when_);
  if (reason.datum == kOfY) {
    [[maybe_unused]] const bool found = rest(trail, 1 - what.bound, -1, because, position);
    assert(found);
    return;
  }
  // Only this choice reaches `bound`; a lower bound asked for may let others reach it, so try that and fall
  // back.
  const std::size_t kept = because.size();
  const bool of_view = what.view == choices_[reason.datum].view;
  std::int32_t bound = of_view ? what.bound : reason.more;
  if (!rest(trail, bound, reason.datum, because, position)) {
    because.resize(kept);
    bound = reason.more;
    [[maybe_unused]] const bool found = rest(trail, bound, reason.datum, because, position);
    assert(found);
  }
  because.push_back({y_, bound});
}

}  // namespace handlot::engine
