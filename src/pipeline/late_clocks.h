// late_clocks.h: latest ends that count from what was done: which a schedule keeps, what those spoil that it does not, and in words
// which those are.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "pipeline/half_done.h"

namespace handlot::pipeline {

/// A latest end that counts from something done, for one unit.
struct Clock {
  const plan::Constraint* link;
  int unit;
  Instant ends;
};

/// What only a clock says has gone by since the link's first event.
Duration unseen(const plan::Constraint& link, const Done& from);

/// Where what was done is spoilt when the clock has ended; a wish spoils nothing.
bool spoils(const plan::Constraint& link);

/// Given  plan, progress and lot outlive it. What is spoilt is to do again in `lot`.
class LateClocks {
 public:
  LateClocks(const plan::Plan& plan, const Progress& progress, HalfDone& lot) : plan_(plan), progress_(progress), lot_(lot) {}

  /// Clocks that this schedule does not keep.
  std::vector<Clock> late_in(const plan::Schedule& s) const;

  /// Plans to do again what no schedule can use in time any more, and all that rests on it. False: there is nothing.
  bool spoil_the_dead() { return spoil(dead_by_now()); }
  /// The same where this schedule does not use all in time: what ends first, and the rest may be kept then.
  bool spoil_the_first_late(const plan::Schedule& s) { return spoil(first_to_die(s)); }

  /// Says in the schedule's clash what is late, over or spoilt.
  void name(plan::Schedule& s) const;

 private:
  /// The clock that runs for a unit which is to do the link's later step; none where nothing done has set it going. Of the
  /// whole lot, the first unit's.
  std::optional<Clock> clock_of(const plan::Constraint& link, int unit) const;
  /// What no schedule can use in time any more.
  std::vector<Clock> dead_by_now() const;
  /// Where not all can be used in time: the clocks that end first are given up first, and the others may be kept then.
  std::vector<Clock> first_to_die(const plan::Schedule& s) const;
  /// Plans to do again what these clocks have spoilt, and all that rests on it. False: none of it is done.
  bool spoil(const std::vector<Clock>& dead);
  Piece piece_of(const plan::Operation& op) const;
  std::string title_of(const StepId& id) const;
  void name_the_late(plan::Schedule& s) const;
  void name_what_is_over(plan::Schedule& s) const;
  void name_the_spoilt(plan::Schedule& s) const;

  const plan::Plan& plan_;
  const Progress& progress_;
  HalfDone& lot_;
  std::map<const plan::Constraint*, std::set<int>> spoilt_;  ///< units whose work a latest end has spoilt
};

}  // namespace handlot::pipeline
