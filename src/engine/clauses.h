// clauses.h: "at least one of these bounds holds": given and learnt clauses, two watches each.
#pragma once

#include <span>
#include <vector>

#include "engine/state.h"

namespace handlot::engine {

/// A prompt propagator for clauses over bound literals.
///
/// Two literals of a clause are watched. A watch sleeps on the view that can make its literal fail, under the
/// bound (threshold) at which it does. Watches of a view lie in buckets by threshold, so that raising a bound
/// from 10 to 12 touches the buckets of 11 and 12 and no others.
class Clauses final : public Propagator {
 public:
  /// `number` is what State calls this propagator.
  void enlist(std::int32_t number) { number_ = number; }

  /// Given    level 0; literals that hold or fail at the root are dealt with here.
  /// Returns  false if the clause cannot hold.
  bool add(State& state, std::vector<Literal> literals);
  /// Adds a learnt clause and makes its first literal hold.
  /// Given    all literals but the first fail; the second is the last of them to have failed.
  /// Returns  false on conflict.
  bool learn(State& state, std::span<const Literal> literals, std::int32_t levels);

  std::int32_t learnt() const { return learnt_; }
  /// At level 0: drops clauses that hold at the root, literals that fail there, and the less useful half of
  /// the learnt clauses (many decision levels, long unused), always keeping those of two levels or fewer.
  void tidy(const Trail& trail, bool halve);
  /// A clause took part in a conflict: it is worth keeping.
  void praise(std::int32_t clause);
  void fade_praise() { praise_step_ *= 1.0F / 0.999F; }

  bool on_raise(State&, const Entry&) override;
  void explain(const Trail&, Literal what, std::int32_t position, Reason reason,
               std::vector<Literal>& because) const override;
  std::string_view name() const override { return "clause"; }

 private:
  struct Clause {
    std::int32_t begin;
    std::int32_t size;
    std::int32_t levels;  // decision levels among its literals when learnt; 0 = given
    float praise;
  };
  struct Watch {
    std::int32_t threshold;
    std::int32_t begin;  // of the clause in the pool
    Literal other;  // if this holds, the clause need not be looked at
  };
  struct Buckets {
    std::int32_t base = 0;
    std::int32_t shift = 0;
    std::vector<std::vector<Watch>> rows;
  };
  void make_room(const Trail& trail);
  void prepare(const Trail& trail, View view);
  std::int32_t row_of(const Buckets& b, std::int32_t threshold) const;
  void watch(const Trail& trail, std::int32_t begin, Literal literal, Literal other);
  void watch_two(const Trail& trail, std::int32_t clause);
  std::int32_t store(std::span<const Literal> literals, std::int32_t levels);
  bool visit_row(State& state, std::vector<Watch>& row, const Entry& entry);
  enum class Verdict { keep, moved, conflict };
  Verdict visit(State& state, Watch& watch, View view);
  bool simplify(const Trail& trail, Clause& clause);

  std::int32_t number_ = -1;
  // Before the literals of each clause stands its head, {number, size}, so that a visit reads one place only.
  List<Literal> pool_;
  List<Clause> clauses_;
  List<Buckets> buckets_;  // by view
  std::int32_t learnt_ = 0;
  float praise_step_ = 1.0F;
};

}  // namespace handlot::engine
