#include "rules/said_between.h"

#include <algorithm>

namespace handlot::rules {

bool said_between(const Facts& facts, const KnownOrder& order, const job::Step& earlier, const job::Step& later, bool (*says)(const job::Step&)) {
  return says(later) || std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return says(s) && order.before(earlier.id, s.id) && order.before(s.id, later.id); });
}

}  // namespace handlot::rules
