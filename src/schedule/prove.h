// prove.h: a better schedule, or the proof that there is none, from the learning engine.
#pragma once

#include <functional>
#include <optional>

#include "engine/limits.h"
#include "schedule/model.h"
#include "schedule/solution.h"

namespace handlot::schedule {

struct Proof {
  std::optional<Solution> best;  ///< better than the one asked to be bettered; none if none was found
  bool closed = false;  ///< nothing is better than `best` (or than the one given) in the question's sizes
  Time bound = 0;       ///< no finish is sooner, in the question's sizes
  std::int64_t conflicts = 0;
  std::int64_t raises = 0;
};

/// Minimises the finish, then the set-ups at that finish.
///
/// Given    no finish is sooner than `low`; `known`, if there is one, keeps every rule; the answer is only
/// asked for what is better.
///          With `moves` given, only those tasks of `known` may move and nothing is proven about the rest.
/// Cost     as limits say.
Proof prove(const plan::Work& work, const std::vector<std::vector<int>>& sizes, const Solution* known,
            const std::vector<bool>& moves, Time low, Time horizon, const engine::Limits& limits,
            std::uint64_t seed, const std::function<void(const Solution&)>& better = {});

/// It keeps every rule of check.h, whatever its bound says.
bool keeps_the_law(const plan::Work& work, plan::Schedule schedule);

/// No schedule that keeps the calendar ends later: the last closing time and everything that may follow
/// unattended.
Time horizon_of(const plan::Work& work);

}  // namespace handlot::schedule
