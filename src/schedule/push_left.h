// push_left.h: a schedule without needless waits.
#pragma once

#include "schedule/serial.h"
#include "schedule/tasks.h"

namespace handlot::schedule {

/// Every task at the first moment at which it can stand with the others where they are, again and again. Tasks that a
/// latest end joins move together (a few of them) or not at all: no clock runs nearer to its end than it did. Tasks on stations that
/// warm up or are changed over stay.
///
/// Given    `placement` keeps every rule of check.h; `precedence` of the same set.
/// Returns  a placement that keeps them too and ends no later.
/// Cost     tasks squared a round, and few rounds.
Placement push_left(const TaskSet& set, const Precedence& precedence, const Placement& placement);

}  // namespace handlot::schedule
