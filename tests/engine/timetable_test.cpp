#include "engine/timetable.h"

#include <catch2/catch.hpp>

using namespace handlot::engine;

TEST_CASE("a task is pushed again when the search comes the same way again", "[engine]") {
  // Where j is at once, i must wait; and i may not: the clauses say so only after the table has come to rest.
  Solver s;
  const Var i = s.integer(0, 20);
  const Var j = s.integer(0, 20);
  const Literal p = s.boolean();
  const Task tasks[] = {{i, 4, 1}, {j, 4, 1}};
  require_capacity(s, tasks, 1);
  s.clause({at_most(i, 3), p});
  s.clause({at_most(i, 3), ~p});
  State& state = s.state();
  REQUIRE(state.propagate());
  for (int time = 0; time < 2; ++time) {
    state.decide(at_most(j, 0));
    CHECK_FALSE(state.propagate());
    state.back_to(0);
  }
}
