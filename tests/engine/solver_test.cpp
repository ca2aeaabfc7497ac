#include "engine/solver.h"

#include <catch2/catch.hpp>

#include "engine/project.h"
#include "engine/timetable.h"

using namespace handlot::engine;

TEST_CASE("two tasks in a row end when both are done", "[engine]") {
  Solver s;
  const Var a = s.integer(0, 100);
  const Var b = s.integer(0, 100);
  const Var end = s.integer(0, 100);
  s.lag(a, b, 5);
  s.lag(b, end, 3);
  const Answer best = s.minimise(end);
  CHECK(best.status == Status::optimal);
  CHECK(best.value(end) == 8);
  CHECK(best.bound == 8);
}

TEST_CASE("assumptions that cannot hold together are named", "[engine]") {
  Solver s;
  const Var a = s.integer(0, 100);
  const Var b = s.integer(0, 100);
  const Literal after = s.boolean();
  const Literal soon = s.boolean();
  const Literal idle = s.boolean();
  s.lag(a, b, 10, after);
  s.lag(b, a, -5, soon);
  s.lag(a, b, 1, idle);
  const Literal wanted[] = {after, idle, soon};
  const Answer answer = s.solve(wanted);
  REQUIRE(answer.status == Status::infeasible);
  CHECK(answer.clash.size() == 2);
  CHECK(std::count(answer.clash.begin(), answer.clash.end(), idle) == 0);
}
