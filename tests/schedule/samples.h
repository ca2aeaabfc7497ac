// samples.h: works made up for the tests of the schedule. All invented.
#pragma once

#include <cstdint>
#include <string>

#include "plan/schedule.h"

namespace handlot::schedule::samples {

/// Numbers from a seed, the same everywhere.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : state_(seed * 0x9E3779B97F4A7C15ULL + 1) {}
  int roll(int low, int high);  ///< both ends included
  bool one_in(int n) { return roll(1, n) == 1; }

 private:
  std::uint64_t state_;
};

/// A small shop with one or two people, hours with gaps, an oven, clamps, a bench with two materials, and
/// steps with a random few of the features there are. At most `tasks` operations if every step goes unit by
/// unit. Times are small whole numbers of seconds, so that every start can be tried.
plan::Work small_work(std::uint64_t seed, int tasks);

/// A lamp-like build of about forty steps: boards printed, placed and baked in an oven, printed parts
/// finished, glued and oiled, mechanics assembled, tested, packed. Evenings and Saturdays.
plan::Work forty_steps(int units);

/// What a failing test prints so that the case can be looked at.
std::string describe(const plan::Work& work);
std::string describe(const plan::Work& work, const plan::Schedule& schedule);

}  // namespace handlot::schedule::samples
