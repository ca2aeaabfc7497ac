// set_on.h: what sits on the thing that a step works on, though the step does not name it.
#pragma once

#include <set>

#include "rules/rule.h"

namespace handlot::rules {

/// The parts that steps listed before it have put on the very thing that `step` works on, each with everything inside it: a liquid that
/// goes over the one runs on to them.
std::set<PartId> set_on(const Facts& facts, const job::Step& step);

}  // namespace handlot::rules
