// relief.h: what would make a plan shorter, or possible at all, each tried.
#pragma once

#include <cstdint>
#include <vector>

#include "plan/schedule.h"
#include "schedule/solution.h"
#include "schedule/solve.h"

namespace handlot::schedule {

/// Changes of the shop that are scheduled anew: one and two more of each station or fixture, and as many more as spare the lot a
/// load of it (up to twice as many as there are), one unit more at a time in steps that limit it, opening an hour sooner, one pair
/// of hands more, and for steps that only some may do another person who may.
///
/// Given    `best`, or nullptr if the work as it is has no schedule.
/// Returns  those that save time (or make a schedule possible), most first, at most `most`; more of a thing only
///          where that saves more than fewer. What is saved is counted from the better of `best` and the work as it is in
///          the sizes of the changed one, so that it is not saved by sizes that were to be had without the change. A saving
///          within the gap that the search leaves open is none.
/// Cost     one short search a change; changes that a bound shows to be of no use cost next to nothing.
std::vector<plan::Relief> reliefs(const plan::Work& work, const Solution* best, const Limits& limits,
                                  std::uint64_t seed, std::size_t most = 4);

}  // namespace handlot::schedule
