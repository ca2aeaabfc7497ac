// state.h: trail, propagators and their queue: everything below the search.
#pragma once

#include <limits>
#include <memory>
#include <span>
#include <vector>

#include "engine/limits.h"
#include "engine/propagator.h"

namespace handlot::engine {

/// What constraints and search work on together.
class State {
 public:
  State() { add_variable(0, 0); }  // the variable kAlways speaks of

  Var add_variable(std::int32_t low, std::int32_t high);
  const Trail& trail() const { return trail_; }

  // -- for whoever posts a constraint
  // ------------------------------------------------------------------------
  /// Takes over `propagator`. `rank` orders the queue: 0 is called first, kRanks - 1 last.
  static constexpr std::int32_t kRanks = 4;
  std::int32_t add(std::unique_ptr<Propagator> propagator, std::int32_t rank);
  std::int32_t add_prompt(std::unique_ptr<Propagator> propagator);
  /// Calls propagator `number` whenever `view` is raised.
  void wake(std::int32_t number, View view) { sleepers_[view].push_back(number); }
  void wake_both(std::int32_t number, Var x) {
    wake(number, rising(x));
    wake(number, falling(x));
  }
  Propagator& propagator(std::int32_t number) { return *propagators_[number].work; }

  // -- for propagators
  // ---------------------------------------------------------------------------------------
  /// Makes `l` hold. Returns false if it cannot: then the conflict is on record.
  bool set(Literal l, Reason reason);
  /// Makes `l` hold because of `because`, written out at once (for reasons too costly to find again).
  bool set_because(Literal l, std::span<const Literal> because);
  /// Records that `because` cannot all hold together. Always returns false.
  bool clash(std::span<const Literal> because);

  // -- for the search
  // ----------------------------------------------------------------------------------------
  /// Runs every propagator to rest. Returns false on a conflict, and where patience ends before.
  bool propagate();
  /// Propagation stops in between once `raises` bounds were raised in all, or at `cpu_seconds` of `watch`: times that creep past
  /// one another may take minutes. The clock is looked at every some ten thousand bounds. At the root it can go on later.
  void be_patient(std::int64_t raises, const Stopwatch& watch, double cpu_seconds);
  void be_patient() { patience_ = {}, look_at_ = patience_.raises, gave_up_ = false; }
  bool gave_up() const { return gave_up_; }
  const std::vector<Literal>& conflict() const { return conflict_; }
  /// Literals that together forced `what`, which came to hold at entry `position` (not a decision).
  void explain(Literal what, std::int32_t position, std::vector<Literal>& because) const;
  void decide(Literal l);
  void open_level() { trail_.open_level(); }
  void back_to(std::int32_t level);
  /// At level 0 and at rest: forgets the history of the root.
  void settle();

 private:
  struct Member {
    std::unique_ptr<Propagator> work;
    std::int32_t rank;
    bool queued;
  };
  bool run_prompt();
  bool out_of_patience();
  void queue_sleepers(View view);
  void empty_queue();

  Trail trail_;
  List<Member> propagators_;
  std::vector<std::int32_t> prompt_;
  List<std::vector<std::int32_t>> sleepers_;  // by view
  std::vector<std::int32_t> queue_[kRanks];
  std::int32_t heard_ = 0;  // entries the prompt propagators have been told of
  std::vector<Literal> conflict_;
  struct Patience {
    std::int64_t raises = std::numeric_limits<std::int64_t>::max();
    const Stopwatch* watch = nullptr;
    double cpu_seconds = 0;
  };
  Patience patience_;
  std::int64_t look_at_ = patience_.raises;  // bounds raised at which patience is looked at next
  bool gave_up_ = false;
  // Written reasons lie end to end; a reason's datum is its place in written_at_.
  List<Literal> written_;
  struct Written {
    std::int32_t begin, end, entry;
  };
  List<Written> written_at_;
};

}  // namespace handlot::engine
