// The next variable in turn against a plain look at all of them.
#include "engine/in_turn.h"

#include <catch2/catch.hpp>

#include "toy.h"

using namespace handlot::engine;
using handlot::engine::test::Dice;

namespace {

Var looked_at_all(const Trail& trail, const std::vector<Var>& all) {
  Var best;
  for (const Var x : all) {
    if (trail.fixed(x)) continue;
    if (best.index < 0 || trail.low(x) < trail.low(best) ||
        (trail.low(x) == trail.low(best) && trail.high(x) < trail.high(best)))
      best = x;
  }
  return best;
}

}  // namespace

// TWIN  every variable looked at every time.
TEST_CASE("the next in turn is the earliest open one, forwards and back", "[engine][twin]") {
  for (unsigned seed = 0; seed < 200; ++seed) {
    Dice dice(seed);
    Trail trail;
    InTurn turn;
    std::vector<Var> all;
    for (int i = 0; i < 12; ++i) {
      const bool boolean = dice.roll(0, 1) == 1;
      const int low = boolean ? 0 : dice.roll(-1, 2);
      all.push_back(trail.add_variable(low, boolean ? 1 : low + dice.roll(0, 3)));
      turn.add(all.back(), boolean);
    }
    for (int move = 0; move < 60; ++move) {
      const Var wanted = looked_at_all(trail, all);
      if (dice.roll(0, 3) > 0) REQUIRE(turn.next(trail) == wanted);
      if (wanted.index < 0 || dice.roll(0, 3) == 0) {
        const int level = dice.roll(0, trail.level());
        trail.back_to(level);
        turn.back_to(level);
        continue;
      }
      trail.open_level();
      for (int raised = dice.roll(1, 3); raised > 0; --raised) {
        const Var x = all[static_cast<std::size_t>(dice.roll(0, 11))];
        if (!trail.fixed(x)) trail.raise(at_least(x, dice.roll(trail.low(x) + 1, trail.high(x))), {});
      }
    }
  }
}
