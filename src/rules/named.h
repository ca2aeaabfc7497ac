// named.h: which parts a step names, by what it works on, touches or puts in.
#pragma once

#include "rules/rule.h"

namespace handlot::rules {

/// The step puts in that part itself, and not only the subassembly that it belongs to.
bool puts_in(const job::Step& step, const PartId& part);

/// It works on the part itself, touches it or puts it in.
bool names(const job::Step& step, const PartId& part);

}  // namespace handlot::rules
