#include "engine/clauses.h"

#include <algorithm>

namespace handlot::engine {

namespace {
constexpr std::int32_t kMostRows = 64;
// A clause is fetched so many watches before it is looked at: most lie outside the cache.
constexpr std::size_t kAhead = 2;
}

// Once for all views: a row must not move while it is being walked.
void Clauses::make_room(const Trail& trail) {
  while (buckets_.count() < trail.views()) buckets_.add({});
}

void Clauses::prepare(const Trail& trail, View view) {
  Buckets& b = buckets_[view];
  if (!b.rows.empty()) return;
  b.base = trail.root_low(view);
  const std::int32_t span = -trail.root_low(opposite(view)) + 1 - b.base;
  while ((span >> b.shift) >= kMostRows) ++b.shift;
  b.rows.resize(static_cast<std::size_t>((span >> b.shift) + 1));
}

std::int32_t Clauses::row_of(const Buckets& b, std::int32_t threshold) const {
  return std::clamp((threshold - b.base) >> b.shift, 0, static_cast<std::int32_t>(b.rows.size()) - 1);
}

void Clauses::watch(const Trail& trail, std::int32_t begin, Literal literal, Literal other) {
  const Literal failing = ~literal;
  prepare(trail, failing.view);
  Buckets& b = buckets_[failing.view];
  b.rows[static_cast<std::size_t>(row_of(b, failing.bound))].push_back({failing.bound, begin, other});
}

void Clauses::watch_two(const Trail& trail, std::int32_t clause) {
  const std::int32_t begin = clauses_[clause].begin;
  const Literal first = pool_[begin];
  const Literal second = pool_[begin + 1];
  watch(trail, begin, first, second);
  watch(trail, begin, second, first);
}

std::int32_t Clauses::store(std::span<const Literal> literals, std::int32_t levels) {
  const auto size = static_cast<std::int32_t>(literals.size());
  pool_.add({clauses_.count(), size});
  const std::int32_t begin = pool_.count();
  for (const Literal l : literals) pool_.add(l);
  clauses_.add({begin, size, levels, praise_step_});
  return clauses_.count() - 1;
}

bool Clauses::add(State& state, std::vector<Literal> literals) {
  const Trail& trail = state.trail();
  for (const Literal l : literals)
    if (trail.holds(l)) return true;
  std::erase_if(literals, [&](Literal l) { return trail.fails(l); });
  std::sort(literals.begin(), literals.end());
  literals.erase(std::unique(literals.begin(), literals.end()), literals.end());
  if (literals.empty()) return state.clash({});
  if (literals.size() == 1) return state.set_because(literals[0], {});
  make_room(trail);
  const std::int32_t clause = store(literals, 0);
  watch_two(trail, clause);
  return true;
}

bool Clauses::learn(State& state, std::span<const Literal> literals, std::int32_t levels) {
  if (literals.size() == 1) return state.set_because(literals[0], {});
  make_room(state.trail());
  const std::int32_t clause = store(literals, levels);
  ++learnt_;
  watch_two(state.trail(), clause);
  return state.set(literals[0], {number_, clause});
}

bool Clauses::on_raise(State& state, const Entry& entry) {
  const View view = entry.made.view;
  if (view >= buckets_.count() || buckets_[view].rows.empty()) return true;
  const std::int32_t last = row_of(buckets_[view], entry.made.bound);
  for (std::int32_t r = row_of(buckets_[view], entry.before + 1); r <= last; ++r)
    if (!visit_row(state, buckets_[view].rows[static_cast<std::size_t>(r)], entry)) return false;
  return true;
}

bool Clauses::visit_row(State& state, std::vector<Watch>& row, const Entry& entry) {
  std::size_t kept = 0;
  std::size_t i = 0;
  bool fine = true;
  for (; i < row.size() && fine; ++i) {
    if (i + kAhead < row.size()) __builtin_prefetch(pool_.data() + row[i + kAhead].begin - 1);
    const bool due = row[i].threshold > entry.before && row[i].threshold <= entry.made.bound;
    const Verdict verdict =
        !due || state.trail().holds(row[i].other) ? Verdict::keep : visit(state, row[i], entry.made.view);
    if (verdict != Verdict::moved) row[kept++] = row[i];
    fine = verdict != Verdict::conflict;
  }
  for (; i < row.size(); ++i) row[kept++] = row[i];
  row.resize(kept);
  return fine;
}

Clauses::Verdict Clauses::visit(State& state, Watch& watch, View view) {
  const Trail& trail = state.trail();
  Literal* const l = pool_.data() + watch.begin;
  const auto [number, size] = l[-1];
  const Literal failed = ~Literal{view, watch.threshold};
  if (l[0] == failed) std::swap(l[0], l[1]);
  assert(l[1] == failed);
  watch.other = l[0];
  if (trail.holds(l[0])) return Verdict::keep;
  for (std::int32_t k = 2; k < size; ++k) {
    if (trail.fails(l[k])) continue;
    std::swap(l[1], l[k]);
    // Never the row being walked: a row's views fail together, and l[1] does not fail.
    this->watch(trail, watch.begin, l[1], l[0]);
    return Verdict::moved;
  }
  return state.set(l[0], {number_, number}) ? Verdict::keep : Verdict::conflict;
}

void Clauses::explain(const Trail&, Literal what, std::int32_t, Reason reason,
                      std::vector<Literal>& because) const {
  const Clause& clause = clauses_[reason.datum];
  const Literal* const l = pool_.data() + clause.begin;
  for (std::int32_t k = 0; k < clause.size; ++k)
    if (l[k].view != what.view || l[k].bound < what.bound) because.push_back(~l[k]);
}

void Clauses::praise(std::int32_t clause) {
  if (clauses_[clause].levels == 0) return;
  clauses_[clause].praise += praise_step_;
  if (praise_step_ < 1e20F) return;
  for (Clause& c : clauses_) c.praise *= 1e-20F;
  praise_step_ *= 1e-20F;
}

bool Clauses::simplify(const Trail& trail, Clause& clause) {
  Literal* const l = pool_.data() + clause.begin;
  std::int32_t kept = 0;
  for (std::int32_t k = 0; k < clause.size; ++k) {
    if (trail.holds(l[k])) return false;
    if (!trail.fails(l[k])) l[kept++] = l[k];
  }
  assert(kept >= 2);  // at rest a clause with one literal left holds
  clause.size = kept;
  return true;
}

void Clauses::tidy(const Trail& trail, bool halve) {
  assert(trail.level() == 0);
  std::vector<std::int32_t> spare;
  for (std::int32_t c = 0; halve && c < clauses_.count(); ++c)
    if (clauses_[c].levels > 2) spare.push_back(c);
  const auto worse = [&](std::int32_t a, std::int32_t b) {
    if (clauses_[a].praise != clauses_[b].praise) return clauses_[a].praise < clauses_[b].praise;
    return clauses_[a].levels != clauses_[b].levels ? clauses_[a].levels > clauses_[b].levels : a < b;
  };
  std::sort(spare.begin(), spare.end(), worse);
  for (std::size_t i = 0; i < spare.size() / 2; ++i) clauses_[spare[i]].size = 0;

  const List<Clause> old_clauses = std::move(clauses_);
  List<Literal> old_pool;
  std::swap(old_pool, pool_);
  clauses_ = {};
  buckets_.clear();
  make_room(trail);
  learnt_ = 0;
  for (Clause clause : old_clauses) {
    if (clause.size == 0) continue;
    const std::int32_t head = pool_.count();
    pool_.add({});
    for (std::int32_t k = 0; k < clause.size; ++k) pool_.add(old_pool[clause.begin + k]);
    clause.begin = head + 1;
    if (!simplify(trail, clause)) {
      pool_.resize(head);
      continue;
    }
    pool_[head] = {clauses_.count(), clause.size};
    pool_.resize(clause.begin + clause.size);
    clauses_.add(clause);
    learnt_ += clause.levels > 0 ? 1 : 0;
    watch_two(trail, clauses_.count() - 1);
  }
}

}  // namespace handlot::engine
