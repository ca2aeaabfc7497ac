// solve.h: the schedule of a lot, and how good it is.
#pragma once

#include <cstdint>
#include <functional>
#include <limits>

#include "plan/schedule.h"

namespace handlot::schedule {

/// When to stop looking. The counts stop a search at the same place on every machine; the seconds are a net
/// under them for jobs larger than those the counts were chosen for, and only when they stop it can two runs
/// differ.
struct Limits {
  double seconds = 20;                ///< CPU time of this thread's process
  std::int64_t conflicts = 40000;     ///< of the learning search, all its calls together
  std::int64_t raises = std::numeric_limits<std::int64_t>::max();  ///< of bounds, in the learning search
  double gap = 0;                     ///< share of the bound: a finish so near to it ends the search; 0: only the proof does
  std::int64_t placements = 1000000;  ///< tasks placed by the serial search, all its runs together
  bool costs = true;                  ///< also try what other sub-batch sizes would cost
  bool reliefs = true;                ///< also try what would make the plan shorter or possible
  bool spare = false;                 ///< running clocks keep some of their time, where the lot can be done so (time_to_spare.h)
};

/// How far the search is. Called now and then, from the same thread.
struct Progress {
  Duration makespan{0};  ///< of the best schedule so far; 0 before there is one
  Duration bound{0};
};
using Tell = std::function<void(const Progress&)>;

/// Sub-batch sizes and start times for the whole lot.
///
///   1  what cannot be done is answered at once (faults.h), with the reasons in `clash`
///   2  a bound without search (bounds.h)
///   3  serial schedules over sizes and orders, best first
///   4  proof or improvement
///
/// With `spare`, bound and proof speak of schedules that leave clocks their time to spare.
///
/// Returns  status optimal (makespan = bound), feasible (bound below it, stopped_by says why the search
/// ended),
///          infeasible (clash), or stopped (nothing found, nothing proven). Operations keep every rule of
///          check.h.
/// Order    earliest finish; then fewer set-ups; then less waiting of hands; then slack to latest ends.
/// Given    nothing: any work is answered. Same work, same limits in counts, same seed: same bytes.
plan::Schedule solve(const plan::Work& work, const Limits& limits = {}, std::uint64_t seed = 1,
                     const Tell& tell = {});

}  // namespace handlot::schedule
