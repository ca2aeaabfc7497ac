// difference.h: what a plan worked out anew would change, shown before it is taken.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plan/plan.h"

namespace handlot::bench {

struct Shift {
  StepId step;
  int first_unit = 1;
  int last_unit = 1;
  std::optional<Instant> before;  ///< start in the old plan; empty: new
  std::optional<Instant> after;   ///< start in the new one; empty: gone (done, or not needed any more)
};

struct Difference {
  std::vector<Shift> shifts;  ///< in the order of the new plan, then what is gone; unmoved ones are left out
  Instant finish_before;
  Instant finish_after;
  int unmoved = 0;
};

/// Operations are matched unit by unit; neighbours that move alike are shown as one. What `after` says is done
/// moves no more and is not shown.
Difference difference(const plan::Schedule& before, const plan::Schedule& after);

}  // namespace handlot::bench
