// bath.h: what a bath is, and what gets a board out of a clash between one and a part that bears none.
#pragma once

#include <string>

#include "rules/rule.h"

namespace handlot::rules {

/// A cleaning that is no wipe: in a bath, by its words.
bool in_a_bath(const job::Step& step);

/// The mend for a link of the rule no-bath: the part on after it, or no bath at all. Empty for a link of any other rule.
std::string way_round_bath(const Facts& facts, const plan::Constraint& link);

}  // namespace handlot::rules
