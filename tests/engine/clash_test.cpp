#include "engine/clash.h"

#include <catch2/catch.hpp>

#include <algorithm>

#include "toy.h"

using namespace handlot::engine;
using namespace handlot::engine::test;

TEST_CASE("a ring of lags is named whole, and nothing beside it", "[engine]") {
  Solver s;
  std::vector<Var> x;
  for (int i = 0; i < 6; ++i) x.push_back(s.integer(0, 1000));
  std::vector<Literal> wishes;
  const auto wish = [&](int from, int to, int lag) {
    wishes.push_back(s.boolean());
    s.lag(x[static_cast<std::size_t>(from)], x[static_cast<std::size_t>(to)], lag, wishes.back());
  };
  wish(0, 1, 5);
  wish(4, 5, 5);
  wish(1, 2, 5);
  wish(0, 4, 5);
  wish(2, 0, -9);
  const Clash clash = smallest_clash(s, wishes);
  REQUIRE(clash.exists);
  CHECK(clash.smallest);
  CHECK(clash.literals == std::vector<Literal>{wishes[0], wishes[2], wishes[4]});
}

TEST_CASE("wishes that can all be had make no clash", "[engine]") {
  Solver s;
  const Literal a = s.boolean();
  const Literal wishes[] = {a};
  CHECK(!smallest_clash(s, wishes).exists);
}

TEST_CASE("a model impossible in itself clashes without any wish", "[engine]") {
  Solver s;
  const Literal a = s.boolean();
  s.clause({});
  const Literal wishes[] = {a};
  const Clash clash = smallest_clash(s, wishes);
  CHECK(clash.exists);
  CHECK(clash.literals.empty());
}

// TWIN  every subset of the wishes, by enumeration: the clash has no solution, and each part of it has one.
TEST_CASE("a clash is impossible, and possible without any one of it", "[engine][twin]") {
  int clashes = 0;
  for (unsigned seed = 0; seed < 300; ++seed) {
    Dice dice(seed);
    const Toy toy =
        random_toy(dice, 4, 5, 5, 8, {Kind::lag, Kind::clause, Kind::optional_capacity, Kind::windows});
    const std::vector<Values> all = toy.all_solutions();
    Solver solver(seed);
    const std::vector<Var> vars = toy.post(solver);
    std::vector<Literal> wishes;
    for (std::size_t i = 4; i < vars.size(); ++i)
      wishes.push_back(dice.roll(0, 1) ? at_least(vars[i], 1) : at_most(vars[i], 0));
    wishes.push_back(at_least(vars[0], dice.roll(1, 5)));
    wishes.push_back(at_most(vars[1], dice.roll(0, 4)));
    const auto possible = [&](const std::vector<Literal>& some) {
      return std::any_of(all.begin(), all.end(), [&](const Values& v) {
        return std::all_of(some.begin(), some.end(), [&](Literal l) { return holds(l, v, vars); });
      });
    };
    INFO("seed " << seed << "\n" << toy.text());
    const Clash clash = smallest_clash(solver, wishes);
    REQUIRE(clash.exists == !possible(wishes));
    if (!clash.exists) continue;
    ++clashes;
    REQUIRE(clash.smallest);
    REQUIRE(!possible(clash.literals));
    for (std::size_t i = 0; i < clash.literals.size(); ++i) {
      std::vector<Literal> rest = clash.literals;
      rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(i));
      REQUIRE(possible(rest));
    }
  }
  CHECK(clashes > 50);
}
