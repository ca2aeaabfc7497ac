#include "engine/trail.h"

namespace handlot::engine {

Var Trail::add_variable(std::int32_t low, std::int32_t high) {
  assert(low <= high && low >= -kFar && high <= kFar);
  const Var x{low_.count() / 2};
  for (const std::int32_t bound : {low, -high}) {
    low_.add(bound);
    root_.add(bound);
    latest_.add(-1);
  }
  return x;
}

std::int32_t Trail::position(Literal l) const {
  assert(holds(l));
  std::int32_t i = latest_[l.view];
  while (i >= 0 && entries_[i].before >= l.bound) i = entries_[i].earlier;
  return i;
}

std::int32_t Trail::low_before(View v, std::int32_t position) const {
  std::int32_t i = latest_[v];
  while (i >= position) i = entries_[i].earlier;
  return i < 0 ? root_[v] : entries_[i].made.bound;
}

void Trail::raise(Literal l, Reason reason) {
  assert(!holds(l) && !fails(l));
  entries_.add({l, low_[l.view], latest_[l.view], level(), reason});
  latest_[l.view] = entries_.count() - 1;
  low_[l.view] = l.bound;
  ++raised_;
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
