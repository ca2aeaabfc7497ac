// bath.h: what gets a board out of a clash between a bath and a part that bears none.
#pragma once

#include <string>

#include "rules/rule.h"

namespace handlot::rules {

/// The mend for a link of the rule no-bath: the part on after it, or no bath at all. Empty for a link of any other rule.
std::string way_round_bath(const Facts& facts, const plan::Constraint& link);

}  // namespace handlot::rules
