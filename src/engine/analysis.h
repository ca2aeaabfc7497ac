// analysis.h: from a conflict to the clause that would have prevented it.
#pragma once

#include <span>
#include <vector>

#include "engine/state.h"

namespace handlot::engine {

/// What a conflict teaches.
struct Lesson {
  std::vector<Literal>
      clause;                ///< first: holds after going back; second: the last of the others to have failed
  std::int32_t back_to = 0;  ///< the level at which the first literal follows
  std::int32_t levels = 0;   ///< different decision levels in the clause: few = worth keeping
  bool impossible = false;   ///< the conflict needs no decision at all
};

/// Works backwards from a conflict: each bound it needs is replaced by the bounds that forced it, latest
/// first, until a single bound of the last level is left (the first unique implication point). Reasons are
/// asked for only here, and only for as much of a bound as the conflict needs.
class Analysis {
 public:
  /// Given    the conflict that `state` recorded.
  /// Errors   none; `impossible` when it holds at the root.
  const Lesson& learn(const State& state, std::span<const Literal> conflict);
  /// Literals met on the way, for the activity of branching.
  const std::vector<Literal>& met() const { return met_; }
  /// Clauses used on the way (numbers that Clauses gave), if their source is `clauses`.
  const std::vector<std::int32_t>& clauses_used() const { return clauses_used_; }
  void clauses_are(std::int32_t source) { clause_source_ = source; }

  /// The decisions among those standing that force `literals` all to hold. For failed assumptions.
  std::vector<Literal> decisions_behind(const State& state, std::span<const Literal> literals);

 private:
  void start(const Trail& trail);
  bool need(const Trail& trail, Literal l, std::int32_t before);
  void open(const State& state, std::int32_t position);
  bool redundant(const State& state, Literal l, std::int32_t position, std::int32_t depth);
  bool covered(const Trail& trail, Literal l, std::int32_t position) const;
  void drop_implied(const Trail& trail);
  void minimise(const State& state);
  void finish(const State& state);

  Lesson lesson_;
  std::vector<Literal> met_;
  std::vector<std::int32_t> clauses_used_;
  std::int32_t clause_source_ = -1;
  // By trail position: the bound needed of that entry, if stamped with this conflict's number.
  List<std::int32_t> needed_;
  List<std::int32_t> stamp_;
  List<std::int32_t> verdict_;  // minimisation: 2*round found redundant, 2*round+1 found needed
  List<std::int32_t> verdict_bound_;
  std::int32_t round_ = 0;
  std::int32_t top_level_ = 0;
  std::int32_t open_at_top_ = 0;
  std::vector<std::int32_t> below_;  // needed positions of lower levels
  std::vector<Literal> because_;
};

}  // namespace handlot::engine
