// units.h: which units an operation takes.
#pragma once

#include <set>
#include <string>
#include <utility>
#include <vector>

#include "plan/schedule.h"

namespace handlot::plan {

bool takes(const Operation& op, int unit);

/// In order.
std::vector<int> units_in(const Operation& op);

/// Stretches without a gap, first and last: {1, 3} and {5, 6} without unit 4.
std::vector<std::pair<int, int>> stretches(const std::set<int>& units);

/// "1 to 3 and 5 to 6".
std::string spans(const std::set<int>& units);
/// "unit 3", "units 1 to 3 and 5 to 6".
std::string units_in_words(const std::vector<int>& units);

}  // namespace handlot::plan
