// solver.h: a conflict-learning solver for whole-number variables under scheduling constraints.
//
// Use: make variables, post constraints (lags and clauses here; the others from their own headers, as
// require_capacity in timetable.h), then ask for a solution, for the best one, or for the clash.
//
//     Solver s(seed);
//     Var a = s.integer(0, 100), b = s.integer(0, 100), end = s.integer(0, 100);
//     s.lag(a, b, 5);                  // b at least 5 after a
//     s.lag(b, end, 3);
//     Answer best = s.minimise(end);   // best.status == Status::optimal, best.value(end) == 8
//
// Times are plain whole numbers; the caller says what one unit is. Same calls, same seed, same limit in
// conflicts: same answer, byte for byte.
#pragma once

#include <functional>
#include <span>
#include <vector>

#include "engine/analysis.h"
#include "engine/branching.h"
#include "engine/clauses.h"
#include "engine/in_turn.h"
#include "engine/lags.h"
#include "engine/limits.h"
#include "engine/state.h"

namespace handlot::engine {

enum class Status {
  optimal,     ///< the values are a solution, and none has a smaller objective
  feasible,    ///< the values are a solution; the search stopped at a limit before proving it best
  infeasible,  ///< no solution under these assumptions; `clash` says which of them
  stopped,     ///< stopped at a limit with neither a solution nor a proof
};

struct Answer {
  Status status = Status::stopped;
  std::vector<std::int32_t> values;  ///< by variable index; empty without a solution
  std::int32_t bound = -kFar;        ///< minimise: no solution has a smaller objective
  std::vector<Literal>
      clash;  ///< infeasible: assumptions that cannot hold together; empty = not even without
  Effort effort;

  bool solved() const { return !values.empty(); }
  std::int32_t value(Var x) const { return values[static_cast<std::size_t>(x.index)]; }
  bool value(Literal l) const {
    const std::int32_t v = value(variable(l.view));
    return l.view & 1 ? -v >= l.bound : v >= l.bound;
  }
};

/// When a variable is given a value, if conflicts do not say otherwise. Within a turn: smallest lower bound
/// first.
enum class Turn : std::int32_t { first, middle, last };

class Solver {
 public:
  explicit Solver(std::uint64_t seed = 1);
  Solver(const Solver&) = delete;
  Solver& operator=(const Solver&) = delete;

  // -- variables
  // ---------------------------------------------------------------------------------------------
  /// Given    low <= high, both within +-kFar.
  Var integer(std::int32_t low, std::int32_t high, Turn turn = Turn::middle);
  /// A fresh Boolean, as the literal that it is true.
  Literal boolean(Turn turn = Turn::last);
  /// Bounds as far as they follow without any assumption.
  std::int32_t low(Var x) const { return state_.trail().low(x); }
  std::int32_t high(Var x) const { return state_.trail().high(x); }

  // -- constraints
  // ------------------------------------------------------------------------------------------- Posted
  // between searches, any number of times. A model that contradicts itself is accepted: the next search
  // answers `infeasible` with an empty clash.
  void require(Literal l) { clause({l}); }
  /// At least one of these holds.
  void clause(std::vector<Literal> literals);
  /// to >= from + lag, while `when` holds. If it cannot be kept, `when` fails.
  /// A maximum lag "to at most m after from" is lag(to, from, -m).
  void lag(Var from, Var to, std::int32_t lag, Literal when = kAlways);
  /// A literal that holds wherever all of `literals` do (and is free elsewhere).
  Literal all_of(std::vector<Literal> literals);

  // -- steering
  // ----------------------------------------------------------------------------------------------
  /// A value to try first: an earlier plan, a rule of thumb. Never changes what is possible.
  void hint(Var x, std::int32_t value) { branching_.remember(x, value); }

  // -- searching
  // ---------------------------------------------------------------------------------------------
  /// Some solution in which all `assumptions` hold.
  Answer solve(std::span<const Literal> assumptions = {}, Limits limits = {});
  /// A solution with the smallest `objective`. `on_better` hears of each better solution as it is found.
  /// For objectives in order of weight: minimise the first, then add at_most(first, best) to the assumptions
  /// and minimise the second; what was learnt stays.
  Answer minimise(Var objective, std::span<const Literal> assumptions = {}, Limits limits = {},
                  const std::function<void(const Answer&)>& on_better = {});

  /// For propagators: the state to add themselves to.
  State& state() { return state_; }
  /// For tests: hears of every learnt clause.
  std::function<void(std::span<const Literal>)> on_learnt;

 private:
  enum class End { solution, infeasible, limit };
  End search(std::span<const Literal> assumptions, const Limits& limits, const Stopwatch& watch,
             Answer& answer);
  End search_patiently(std::span<const Literal> assumptions, const Limits& limits, const Stopwatch& watch,
                       Answer& answer);
  /// At a contradiction, or short of rest where patience ended.
  End no_rest(Answer& answer) const;
  bool rest_at_root();
  bool learn_from_conflict(std::span<const Literal> assumptions, Answer& answer);
  enum class Step { decided, solution, refuted };
  Step decide_next(std::span<const Literal> assumptions, Answer& answer);
  Literal in_turn();
  void back_to(std::int32_t level);
  void restart();
  /// Counts raises from here against the limit. Returns how many there were before.
  std::int64_t count_raises(const Limits& limits);
  bool out_of(const Limits& limits, const Stopwatch& watch, const Effort& effort);
  void take_solution(Answer& answer);

  State state_;
  Clauses* clauses_;
  Lags* lags_;
  Analysis analysis_;
  Branching branching_;
  bool contradiction_ = false;
  InTurn in_turn_[3];
  std::int32_t tidy_at_ = 8000;  // learnt clauses at which the next clean-up halves them
  std::int64_t restarts_ = 0;
  std::int64_t raises_end_ = std::numeric_limits<std::int64_t>::max();
};

}  // namespace handlot::engine
