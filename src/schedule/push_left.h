// push_left.h: a schedule without needless waits, and without clocks that run for nothing.
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

/// What starts a clock early for want of anything better, later: a wipe that is good for a working day stood at the far end of
/// that day from the glue, and any small delay would have cost it. A task that leaves a clock less than half of its time goes to the
/// last place that it finds before what the clock hurries, and what lay between moves up into its place. No other clock runs
/// nearer to its end for it, and what hurries the task itself keeps half of its time.
///
/// Given    as push_left.
/// Returns  a placement that keeps the same rules and ends no later.
/// Cost     tasks squared for each task that starts a clock.
Placement start_clocks_late(const TaskSet& set, const Precedence& precedence, const Placement& placement);

}  // namespace handlot::schedule
