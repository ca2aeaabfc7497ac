#include "engine/trail.h"

namespace handlot::engine {

Var Trail::add_variable(std::int32_t low, std::int32_t high) {
  assert(low <= high && low >= -kFar && high <= kFar);
  const Var x{low_.count() / 2};
  for (const std::int32_t bound : {low, -high}) {
    low_.add(bound);
    root_.add(bound);
    latest_.add(-1);
    mark_.add(-1);
  }
  return x;
}

void Trail::back_to(std::int32_t level) {
  if (this->level() <= level) return;
  const std::int32_t keep = level_starts_[level];
  while (entries_.count() > keep) {
    const Entry& entry = entries_.back();
    low_[entry.made.view] = entry.before;
    latest_[entry.made.view] = entry.earlier;
    entries_.drop_last();
  }
  level_starts_.resize(level);
}

void Trail::settle() {
  assert(level() == 0);
  for (const Entry& entry : entries_) {
    root_[entry.made.view] = low_[entry.made.view];
    latest_[entry.made.view] = -1;
  }
  entries_.clear();
}

}  // namespace handlot::engine
