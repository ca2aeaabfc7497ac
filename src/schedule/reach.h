// reach.h: which steps must lie between two others for the same unit.
#pragma once

#include <vector>

#include "plan/schedule.h"
#include "schedule/numbers.h"
#include "schedule/shop_hours.h"
#include "schedule/tasks.h"

namespace handlot::schedule {

/// Steps after steps, through links with min >= 0, unit by unit.
class Reach {
 public:
  explicit Reach(const plan::Work& work);

  int number(const StepId& id) const { return numbers_.step(id); }
  const Numbers& numbers() const { return numbers_; }
  int people() const { return people_; }

  /// Every unit's `b` starts no sooner than its `a` ends.
  bool follows(int a, int b) const { return after(plan::Edge::end, a, plan::Edge::start, b); }

  /// Hands-on time that all units of `run`, one operation of step `from`, need at least between two events:
  /// every step that must start after the first event and end before the second. Set-ups count once a step.
  Time hands_between(int from, plan::Edge from_edge, int to, plan::Edge to_edge, const Run& run) const;

 private:
  bool after(plan::Edge a_edge, int a, plan::Edge b_edge, int b) const;

  const plan::Work& work_;
  Numbers numbers_;
  int people_ = 0;
  std::vector<std::vector<bool>> after_;  ///< of nodes 2 x step + (end ? 1 : 0)
};

}  // namespace handlot::schedule
