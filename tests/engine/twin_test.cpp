// Every kind of constraint against plain enumeration, on random models small enough to enumerate.
#include <catch2/catch.hpp>

#include "toy.h"

using namespace handlot::engine;
using namespace handlot::engine::test;

namespace {

// Solves a toy, and holds every word of the answer and every learnt clause against the list of all solutions.
void compare(const Toy& toy, unsigned seed) {
  const std::vector<Values> all = toy.all_solutions();
  Solver solver(seed);
  const std::vector<Var> vars = toy.post(solver);
  int unsound = 0;
  solver.on_learnt = [&](std::span<const Literal> learnt) {
    for (const Values& v : all)
      if (std::none_of(learnt.begin(), learnt.end(), [&](Literal l) { return holds(l, v, vars); })) ++unsound;
  };
  const Answer answer = solver.minimise(vars[0]);
  INFO("seed " << seed << "\n" << toy.text());
  REQUIRE(unsound == 0);
  if (all.empty()) {
    REQUIRE(answer.status == Status::infeasible);
    return;
  }
  REQUIRE(answer.status == Status::optimal);
  Values found;
  for (const Var x : vars) found.push_back(answer.value(x));
  REQUIRE(toy.kept(found));
  int best = 1000;
  for (const Values& v : all) best = std::min(best, v[0]);
  REQUIRE(answer.value(vars[0]) == best);
}

void compare_many(std::vector<Kind> kinds, int rules, unsigned first_seed, unsigned count) {
  for (unsigned seed = first_seed; seed < first_seed + count; ++seed) {
    Dice dice(seed);
    compare(random_toy(dice, 4, 6, 3, dice.roll(1, rules), kinds), seed);
  }
}

}  // namespace

TEST_CASE("lags and clauses agree with enumeration", "[engine][twin]") {
  compare_many({Kind::lag, Kind::clause}, 12, 1000, 300);
}
TEST_CASE("capacity agrees with enumeration", "[engine][twin]") {
  compare_many({Kind::capacity, Kind::lag, Kind::lag, Kind::clause}, 8, 2000, 300);
}
TEST_CASE("capacity of optional tasks agrees with enumeration", "[engine][twin]") {
  compare_many({Kind::optional_capacity, Kind::lag, Kind::clause}, 8, 3000, 300);
}
TEST_CASE("capacity of tasks of open length agrees with enumeration", "[engine][twin]") {
  compare_many({Kind::varying_capacity, Kind::lag, Kind::clause}, 8, 4000, 300);
}
TEST_CASE("windows agree with enumeration", "[engine][twin]") {
  compare_many({Kind::windows, Kind::lag, Kind::clause}, 10, 5000, 300);
}
TEST_CASE("sums agree with enumeration", "[engine][twin]") {
  compare_many({Kind::linear, Kind::lag, Kind::clause}, 10, 6000, 300);
}
TEST_CASE("the largest of several agrees with enumeration", "[engine][twin]") {
  compare_many({Kind::largest, Kind::lag, Kind::clause}, 6, 7000, 300);
}
TEST_CASE("one way of several agrees with enumeration", "[engine][twin]") {
  compare_many({Kind::one_way, Kind::lag, Kind::clause}, 6, 8000, 300);
}
TEST_CASE("all kinds together agree with enumeration", "[engine][twin][slow]") {
  compare_many({Kind::lag, Kind::clause, Kind::capacity, Kind::optional_capacity, Kind::varying_capacity,
                Kind::windows, Kind::linear, Kind::largest, Kind::one_way},
               9, 100000, 4000);
}
