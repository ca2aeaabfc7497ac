// said_between.h: what the words of the steps between two say of both.
#pragma once

#include "rules/rule.h"

namespace handlot::rules {

/// Said by a step that surely lies between the two, or by the later one itself.
bool said_between(const Facts& facts, const KnownOrder& order, const job::Step& earlier, const job::Step& later, bool (*says)(const job::Step&));

}  // namespace handlot::rules
