#include "engine/in_turn.h"

#include <algorithm>
#include <tuple>
#include <utility>

namespace handlot::engine {

void InTurn::add(Var x, bool boolean) {
  (boolean ? booleans_ : numbers_).push_back(x);
  seen_.assign(1, {numbers_.size(), 0});  // between searches all are open
}

// An open Boolean has the bounds 0 and 1, so the first made is the one.
Var InTurn::next_boolean(const Trail& trail) {
  std::size_t& passed = seen_.back().passed;
  while (passed < booleans_.size() && trail.fixed(booleans_[passed])) ++passed;
  return passed < booleans_.size() ? booleans_[passed] : Var{};
}

Var InTurn::next(const Trail& trail) {
  seen_.resize(static_cast<std::size_t>(trail.level()) + 1, seen_.back());
  Var best = next_boolean(trail);
  std::tuple least{best.index < 0 ? kFar + 1 : 0, 1, best};
  std::size_t& open = seen_.back().open;
  for (std::size_t i = 0; i < open;) {
    const Var x = numbers_[i];
    if (trail.fixed(x)) {
      std::swap(numbers_[i], numbers_[--open]);
      continue;
    }
    ++i;
    if (trail.low(x) > std::get<0>(least)) continue;
    least = std::min(least, std::tuple{trail.low(x), trail.high(x), x});
  }
  return std::get<Var>(least);
}

void InTurn::back_to(std::int32_t level) {
  const auto kept = static_cast<std::size_t>(level) + 1;
  if (kept < seen_.size()) seen_.resize(kept);
}

}  // namespace handlot::engine
