#include "engine/energy.h"

#include <catch2/catch.hpp>

#include "engine/disjunction.h"
#include "engine/timetable.h"
#include "toy.h"

using namespace handlot::engine;
using namespace handlot::engine::test;

TEST_CASE("work that cannot fit is seen without a single decision", "[engine]") {
  // Nine tasks of length 2, two at a time, in 8 units: 18 of 16. No moment alone shows it.
  for (const bool counted : {false, true}) {
    Solver s;
    std::vector<Task> tasks;
    for (int i = 0; i < 9; ++i) tasks.push_back({s.integer(0, 6), 2, 1});
    require_capacity(s, tasks, 2);
    if (counted) watch_energy(s, tasks, 2);
    const Answer answer = s.solve({}, {5000});
    CHECK(answer.status == (counted ? Status::infeasible : answer.status));
    if (counted) CHECK(answer.effort.decisions == 0);
  }
}

// TWIN  plain enumeration of all starts, presences and lengths.
TEST_CASE("counting work changes no answer, and teaches nothing wrong", "[engine][twin]") {
  for (unsigned seed = 0; seed < 400; ++seed) {
    Dice dice(seed);
    Toy toy = random_toy(dice, 4, 5, 2, 3, {Kind::lag, Kind::clause});
    const Toy heavy = random_toy(dice, 4, 5, 2, 1, {Kind::varying_capacity});
    toy.rules.push_back(heavy.rules[0]);
    const std::vector<Values> all = toy.all_solutions();
    Solver solver(seed);
    const std::vector<Var> vars = toy.post(solver);
    heavy.rules[0].post_energy(solver, vars);
    int unsound = 0;
    solver.on_learnt = [&](std::span<const Literal> learnt) {
      for (const Values& v : all)
        if (std::none_of(learnt.begin(), learnt.end(), [&](Literal l) { return holds(l, v, vars); }))
          ++unsound;
    };
    const Answer answer = solver.minimise(vars[0]);
    INFO("seed " << seed << "\n" << toy.text());
    REQUIRE(unsound == 0);
    REQUIRE((answer.status == Status::infeasible) == all.empty());
    int best = 1000;
    for (const Values& v : all) best = std::min(best, v[0]);
    if (!all.empty()) REQUIRE(answer.value(vars[0]) == best);
  }
}

TEST_CASE("one at a time agrees with capacity one", "[engine][twin]") {
  for (unsigned seed = 0; seed < 200; ++seed) {
    Answer answers[2];
    for (const bool in_pairs : {false, true}) {
      Dice dice(seed);
      Solver s(seed);
      const Var end = s.integer(0, 40, Turn::last);
      std::vector<Task> tasks;
      for (int i = 0; i < 5; ++i) {
        const int from = dice.roll(0, 8);
        const int length = dice.roll(1, 4);
        Literal present = kAlways;
        if (dice.roll(0, 2) == 0) present = s.boolean();
        tasks.push_back({s.integer(from, from + dice.roll(2, 12)), length, 1, present});
        s.lag(tasks.back().start, end, length, present);
      }
      std::vector<Literal> some;
      for (const Task& t : tasks)
        if (t.present != kAlways) some.push_back(t.present);
      if (some.size() > 1) s.clause(some);
      if (in_pairs)
        require_one_at_a_time(s, tasks);
      else
        require_capacity(s, tasks, 1);
      answers[in_pairs ? 1 : 0] = s.minimise(end);
      if (answers[in_pairs ? 1 : 0].solved()) {
        for (std::size_t i = 0; i < tasks.size(); ++i)
          for (std::size_t j = 0; j < i; ++j) {
            const Answer& a = answers[in_pairs ? 1 : 0];
            if (!a.value(tasks[i].present) || !a.value(tasks[j].present)) continue;
            REQUIRE((a.value(tasks[i].start) >= a.value(tasks[j].start) + tasks[j].duration ||
                     a.value(tasks[j].start) >= a.value(tasks[i].start) + tasks[i].duration));
          }
      }
    }
    INFO("seed " << seed);
    REQUIRE(answers[0].status == answers[1].status);
    REQUIRE(answers[0].bound == answers[1].bound);
  }
}
