// hot_tools.h: the order that hot inserts ask for.
#pragma once

#include "rules/rule.h"

namespace handlot::rules {

/// Inserts that are listed after a cell or a display of their body are set before it, where nothing else stands against it.
void inserts_first(const Facts& facts, const job::Step& insert, Yield& yield);

}  // namespace handlot::rules
