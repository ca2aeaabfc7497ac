#include "engine/solver.h"

#include <catch2/catch.hpp>
#include <limits>
#include <vector>

#include "engine/linear.h"
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

TEST_CASE("a circle of lags that asks for a second too much is found without counting the seconds", "[engine]") {
  constexpr int kWide = 1'000'000, kRing = 5;
  Solver s;
  std::vector<Var> x;
  std::vector<Literal> wanted;
  for (int i = 0; i < kRing; ++i) x.push_back(s.integer(0, kWide));
  const Literal idle = s.boolean();
  s.lag(x[0], x[2], 1, idle);
  for (int i = 0; i < kRing; ++i) {
    wanted.push_back(s.boolean());
    s.lag(x[static_cast<std::size_t>(i)], x[static_cast<std::size_t>((i + 1) % kRing)], i == 0 ? 41 : -10, wanted.back());
  }
  const auto asked = [&] {
    std::vector<Literal> all{idle};
    all.insert(all.end(), wanted.begin(), wanted.end());
    return s.solve(all);
  };
  const Answer answer = asked();
  REQUIRE(answer.status == Status::infeasible);
  CHECK(answer.effort.raises < 2000);
  CHECK(answer.clash.size() == kRing);
  CHECK(std::count(answer.clash.begin(), answer.clash.end(), idle) == 0);
  wanted.pop_back();
  CHECK(asked().status == Status::feasible);
}

TEST_CASE("a search stops at the bounds it may raise, at the same place each time", "[engine]") {
  // Six tasks of length 7, one at a time, each with a head and a tail of its own.
  const auto best = [](std::int64_t raises) {
    Solver s;
    const Var end = s.integer(0, 500);
    std::vector<Var> starts;
    for (int i = 0; i < 6; ++i) {
      starts.push_back(s.integer((i * 5) % 17, 500));
      s.lag(starts.back(), end, 7 + (i * 11) % 23);
    }
    for (std::size_t i = 0; i < starts.size(); ++i) {
      for (std::size_t j = i + 1; j < starts.size(); ++j) {
        const Literal first = s.boolean();
        s.lag(starts[i], starts[j], 7, first);
        s.lag(starts[j], starts[i], 7, ~first);
      }
    }
    Limits limits;
    limits.raises = raises;
    return s.minimise(end, {}, limits);
  };
  const Answer whole = best(std::numeric_limits<std::int64_t>::max());
  REQUIRE(whole.status == Status::optimal);
  REQUIRE(whole.effort.raises > 200);
  const Answer cut = best(whole.effort.raises / 2), again = best(whole.effort.raises / 2);
  CHECK(cut.status != Status::optimal);
  CHECK(cut.effort.raises >= whole.effort.raises / 2);
  CHECK(cut.effort.raises < whole.effort.raises);
  CHECK(cut.effort.raises == again.effort.raises);
  CHECK(cut.values == again.values);
}

namespace {

/// Two sums that push one another up by one, over and over, for as long as `on` holds.
void add_creep(Solver& s, int far, Literal on = kAlways) {
  const Var a = s.integer(0, far);
  const Var b = s.integer(0, far);
  const Term after[] = {{1, a}, {-1, b}};
  const Term not_before[] = {{1, b}, {-1, a}};
  require_at_most(s, after, -1, on);
  require_at_most(s, not_before, 0, on);
}

}  // namespace

TEST_CASE("times that creep past one another a hundred thousand times are explained in one go", "[engine]") {
  Solver s;
  const Literal on = s.boolean();
  add_creep(s, 100'000, on);
  const Literal wanted[] = {on};
  const Answer answer = s.solve(wanted);
  REQUIRE(answer.status == Status::infeasible);
  CHECK(answer.clash == std::vector<Literal>{on});
  CHECK(answer.effort.raises > 100'000);
}

TEST_CASE("a limit ends a creep before it has come to rest, and the next search goes on", "[engine]") {
  Limits few;
  few.raises = 1000;
  Limits no_time;
  no_time.cpu_seconds = 0;
  for (const bool at_root : {true, false}) {
    for (const Limits& limits : {few, no_time}) {
      Solver s;
      const Literal on = at_root ? kAlways : s.boolean();
      add_creep(s, 200'000, on);
      const std::vector<Literal> wanted{on};
      const Answer stopped = s.solve(wanted, limits);
      CHECK(stopped.status == Status::stopped);
      CHECK(stopped.effort.raises < 50'000);
      CHECK(s.solve(wanted).status == Status::infeasible);
    }
  }
}
