// disjunction.h: two tasks that must not overlap, and a whole resource of capacity one.
#pragma once

#include <span>

#include "engine/task.h"

namespace handlot::engine {

/// The two tasks do not overlap, if both are present; `gap_ab` lies at least between the end of a and the
/// start of b if a comes first, `gap_ba` the other way round (a change-over). Given    neither task has a
/// `length` of its own (a fixed `duration` each). Returns  the literal "a before b". If both tasks are
/// present without condition, its negation is "b before a".
Literal require_apart(Solver& solver, const Task& a, const Task& b, std::int32_t gap_ab = 0,
                      std::int32_t gap_ba = 0);

/// No two of the tasks overlap: every pair apart. Demands are not looked at.
/// Cost     n*n/2 Booleans.
void require_one_at_a_time(Solver& solver, std::span<const Task> tasks);

}  // namespace handlot::engine
