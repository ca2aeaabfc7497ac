// toy.h: small random models that a solver and plain enumeration can both be asked about.
#pragma once

#include <functional>
#include <random>
#include <string>
#include <vector>

#include "engine/solver.h"

namespace handlot::engine::test {

/// Values of the toy's variables, by number.
using Values = std::vector<int>;

/// One constraint, twice: posted to a solver, and as a plain question about values.
struct Rule {
  std::string text;
  std::function<void(Solver&, const std::vector<Var>&)> post;
  std::function<bool(const Values&)> kept;
  std::function<void(Solver&, const std::vector<Var>&)> post_energy = {};  ///< capacity only
};

struct Toy {
  struct Domain {
    int low, high;
  };
  std::vector<Domain> domains;  ///< Booleans are 0..1
  std::vector<Rule> rules;

  std::vector<Var> post(Solver& solver) const;
  bool kept(const Values& values) const;
  /// Every assignment that keeps every rule, by plain enumeration.
  std::vector<Values> all_solutions() const;
  std::string text() const;
};

class Dice {
 public:
  explicit Dice(unsigned seed) : twister_(seed) {}
  int roll(int low, int high) {
    return low + static_cast<int>(twister_() % static_cast<unsigned>(high - low + 1));
  }

 private:
  std::mt19937 twister_;
};

/// Which kinds of rule a random toy is made of.
enum class Kind {
  lag,
  clause,
  capacity,
  optional_capacity,
  varying_capacity,
  windows,
  linear,
  largest,
  one_way
};

/// `whole` integer variables of domain 0..`span`, `bools` Booleans after them, `count` rules of the kinds
/// given.
Toy random_toy(Dice& dice, int whole, int span, int bools, int count, const std::vector<Kind>& kinds);

bool holds(Literal l, const Values& values, const std::vector<Var>& vars);

}  // namespace handlot::engine::test
