// half_done.h: what of a lot is done, on which units, and what that means for the links of the rest.
#pragma once

#include <map>
#include <utility>
#include <vector>

#include "graph/order.h"
#include "pipeline/replan.h"

namespace handlot::pipeline {

/// Units of one step that are still to do, and go through it together.
struct Piece {
  const plan::Step* step;
  std::vector<int> units;
  StepId id;  ///< "glue@3-4"
};

bool needs_hands(const plan::Timing& t);
/// What runs without hands is begun by somebody, too.
bool needs_somebody(const plan::Timing& t);

/// Given  plan and progress outlive it.
class HalfDone {
 public:
  HalfDone(const plan::Plan& plan, const Progress& progress);

  const std::map<std::pair<StepId, int>, Done>& done() const { return done_; }
  /// Done once, and to be done again.
  const std::vector<Done>& earlier() const { return earlier_; }

  bool is_done(const StepId& step, int unit) const { return done_.contains({step, unit}); }
  /// It is to be done again. False: it was not done.
  bool undo(const StepId& step, int unit);
  /// A step before this one, or the step itself, is to be done again on the unit.
  bool fell_back(const plan::Step& step, int unit) const;

  /// Null: the plan has none.
  const plan::Step* step_of(const StepId& id) const;
  bool before(const StepId& a, const StepId& b) const { return reach_.before(a, b); }
  /// What others imply is implied only while they are still to do: when a step between is done, the link stands alone.
  bool counts(const plan::Constraint& link, const Piece& to) const;
  /// A latest end of paste is over once the board has been in the oven.
  bool melted(const plan::Constraint& link, int unit, Instant began) const;

  /// By the builder's own times, where agreed.
  Duration run_time(const plan::Step& step) const;
  /// From a piece's event to the own one of its `place`th unit: hands-on runs are done one unit after another.
  Duration own_offset(const Piece& piece, std::size_t place, plan::Edge edge) const;

  /// From when on somebody is there.
  Instant opening() const;
  const std::vector<plan::Interval>& hours() const { return progress_.hours.empty() ? plan_.work.hours : progress_.hours; }

 private:
  const plan::Plan& plan_;
  const Progress& progress_;
  const graph::Closure reach_;
  std::map<std::pair<StepId, int>, Done> done_;
  std::vector<Done> earlier_;
};

}  // namespace handlot::pipeline
