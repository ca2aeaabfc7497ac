#include "engine/analysis.h"

#include <algorithm>

namespace handlot::engine {

namespace {
constexpr std::int32_t kDeepest =
    60;  // minimisation gives up on longer chains: it may, the clause stays right
}

void Analysis::start(const Trail& trail) {
  ++round_;
  met_.clear();
  clauses_used_.clear();
  below_.clear();
  open_at_top_ = 0;
  if (needed_.count() < trail.count()) {
    const std::int32_t room = trail.count() * 2;
    needed_.resize(room, 0);
    stamp_.resize(room, 0);
    verdict_.resize(room, 0);
    verdict_bound_.resize(room, 0);
  }
}

// Marks the entry that made `l` hold, before entry `before`. Returns whether it is new.
bool Analysis::need(const Trail& trail, Literal l, std::int32_t before) {
  const std::int32_t p = trail.position_before(l, before);
  if (p < 0 || trail[p].level == 0) return false;
  if (stamp_[p] == round_) {
    needed_[p] = std::max(needed_[p], l.bound);
    return false;
  }
  stamp_[p] = round_;
  needed_[p] = l.bound;
  if (trail[p].level == top_level_)
    ++open_at_top_;
  else
    below_.push_back(p);
  return true;
}

void Analysis::open(const State& state, std::int32_t p) {
  const Trail& trail = state.trail();
  const Literal what{trail[p].made.view, needed_[p]};
  met_.push_back(what);
  if (trail[p].reason.source == clause_source_) clauses_used_.push_back(trail[p].reason.datum);
  because_.clear();
  state.explain(what, p, because_);
  for (const Literal b : because_) need(trail, b, p);
}

const Lesson& Analysis::learn(const State& state, std::span<const Literal> conflict) {
  const Trail& trail = state.trail();
  start(trail);
  lesson_.clause.clear();
  top_level_ = 0;
  for (const Literal l : conflict) {
    const std::int32_t p = trail.position(l);
    if (p >= 0) top_level_ = std::max(top_level_, trail[p].level);
  }
  lesson_.impossible = top_level_ == 0;
  if (lesson_.impossible) return lesson_;
  for (const Literal l : conflict) need(trail, l, trail.count());
  std::int32_t p = trail.count();
  while (true) {
    do --p;
    while (stamp_[p] != round_ || trail[p].level != top_level_);
    if (--open_at_top_ == 0) break;
    open(state, p);
  }
  lesson_.clause.push_back({trail[p].made.view, needed_[p]});  // turned round in finish
  for (const std::int32_t q : below_) lesson_.clause.push_back({trail[q].made.view, needed_[q]});
  for (const Literal l : lesson_.clause) met_.push_back(l);
  drop_implied(trail);
  minimise(state);
  finish(state);
  return lesson_;
}

// Of two bounds of one view the higher says all. (The first literal is never dropped: it is the latest.)
void Analysis::drop_implied(const Trail& trail) {
  auto& c = lesson_.clause;
  const auto first = c.begin() + 1;
  std::sort(first, c.end(),
            [](Literal a, Literal b) { return a.view != b.view ? a.view < b.view : a.bound > b.bound; });
  c.erase(std::unique(first, c.end(), [](Literal a, Literal b) { return a.view == b.view; }), c.end());
  std::erase_if(
      c, [&](const Literal& l) { return &l != &c[0] && l.view == c[0].view && l.bound <= c[0].bound; });
  // Unmark what went, so that minimisation does not lean on it.
  for (const std::int32_t q : below_) stamp_[q] = 0;
  for (std::size_t i = 1; i < c.size(); ++i) stamp_[trail.position(c[i])] = round_;
}

// Is `l`, needed before `position`, implied by a literal that stays in the clause?
bool Analysis::covered(const Trail& trail, Literal l, std::int32_t p) const {
  return stamp_[p] == round_ && trail[p].level != top_level_ && needed_[p] >= l.bound;
}

// Does `l`, made at entry `p`, follow from literals of the clause alone? Every step goes to earlier entries,
// so the argument cannot run in a circle.
bool Analysis::redundant(const State& state, Literal l, std::int32_t p, std::int32_t depth) {
  const Trail& trail = state.trail();
  if (trail[p].reason.source == Reason::kDecision || depth > kDeepest) return false;
  std::vector<Literal> because;
  state.explain(l, p, because);
  for (const Literal b : because) {
    const std::int32_t q = trail.position_before(b, p);
    if (q < 0 || trail[q].level == 0 || covered(trail, b, q)) continue;
    if (trail[q].level == top_level_) return false;
    if (verdict_[q] == 2 * round_ && b.bound <= verdict_bound_[q]) continue;
    if (verdict_[q] == 2 * round_ + 1 && b.bound >= verdict_bound_[q]) return false;
    const bool yes = redundant(state, b, q, depth + 1);
    verdict_[q] = 2 * round_ + (yes ? 0 : 1);
    verdict_bound_[q] = b.bound;
    if (!yes) return false;
  }
  return true;
}

void Analysis::minimise(const State& state) {
  const Trail& trail = state.trail();
  auto& c = lesson_.clause;
  std::size_t kept = 1;
  for (std::size_t i = 1; i < c.size(); ++i)
    if (!redundant(state, c[i], trail.position(c[i]), 0)) c[kept++] = c[i];
  c.resize(kept);
}

void Analysis::finish(const State& state) {
  const Trail& trail = state.trail();
  auto& c = lesson_.clause;
  std::vector<std::int32_t> levels;
  lesson_.back_to = 0;
  for (std::size_t i = 1; i < c.size(); ++i) {
    const std::int32_t level = trail[trail.position(c[i])].level;
    levels.push_back(level);
    if (level > lesson_.back_to) {
      lesson_.back_to = level;
      std::swap(c[1], c[i]);
    }
  }
  std::sort(levels.begin(), levels.end());
  const auto last = std::unique(levels.begin(), levels.end());
  lesson_.levels = static_cast<std::int32_t>(last - levels.begin()) + 1;
  for (Literal& l : c) l = ~l;
}

std::vector<Literal> Analysis::decisions_behind(const State& state, std::span<const Literal> literals) {
  const Trail& trail = state.trail();
  start(trail);
  top_level_ = -1;
  std::vector<Literal> decisions;
  for (const Literal l : literals) need(trail, l, trail.count());
  for (std::int32_t p = trail.count() - 1; p >= 0; --p) {
    if (stamp_[p] != round_) continue;
    if (trail[p].reason.source == Reason::kDecision)
      decisions.push_back(trail[p].made);
    else
      open(state, p);
  }
  std::sort(decisions.begin(), decisions.end());
  return decisions;
}

}  // namespace handlot::engine
