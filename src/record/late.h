// late.h: what is to be done when a latest end has passed, as a page says it.
#pragma once

#include <string>

#include "plan/plan.h"

namespace handlot::record {

/// `if_late` of a link or wait from `from`, with the step as a page names it: "do step 60 (Wipe the bezel) again" for "do 'wipe'
/// again".
std::string if_late_words(const plan::Step& from, const std::string& if_late);

/// It is made good by doing again what began it, as the plan has it.
bool is_done_again_when_late(const plan::Constraint& link);

}  // namespace handlot::record
