#include "engine/disjunction.h"

namespace handlot::engine {

Literal require_apart(Solver& solver, const Task& a, const Task& b, std::int32_t gap_ab,
                      std::int32_t gap_ba) {
  assert(a.length.index < 0 && b.length.index < 0);
  const Literal a_first = solver.boolean();
  solver.lag(a.start, b.start, a.duration + gap_ab, a_first);
  if (a.present == kAlways && b.present == kAlways) {
    solver.lag(b.start, a.start, b.duration + gap_ba, ~a_first);
    return a_first;
  }
  const Literal b_first = solver.boolean();
  solver.lag(b.start, a.start, b.duration + gap_ba, b_first);
  solver.clause({~a.present, ~b.present, a_first, b_first});
  return a_first;
}

void require_one_at_a_time(Solver& solver, std::span<const Task> tasks) {
  for (std::size_t i = 0; i < tasks.size(); ++i)
    for (std::size_t j = i + 1; j < tasks.size(); ++j) require_apart(solver, tasks[i], tasks[j]);
}

}  // namespace handlot::engine
