#include "engine/windows.h"

#include <algorithm>

namespace handlot::engine {

Windows::Windows(Var x, std::vector<Window> windows, Literal when) : x_(x), when_(when) {
  std::erase_if(windows, [](const Window& w) { return w.from > w.to; });
  std::sort(windows.begin(), windows.end(), [](const Window& a, const Window& b) { return a.from < b.from; });
  std::int32_t begin = -kFar;  // of the hole being measured
  for (const Window& w : windows) {
    if (w.from > begin) holes_.add({begin, w.from - 1});
    begin = std::max(begin, w.to + 1);
  }
  if (begin <= kFar) holes_.add({begin, kFar});
}

void Windows::post(State& state, Var x, std::vector<Window> windows, Literal when) {
  auto made = std::make_unique<Windows>(x, std::move(windows), when);
  Windows& it = *made;
  it.number_ = state.add(std::move(made), 0);
  state.wake_both(it.number_, x);
  if (when != kAlways) state.wake(it.number_, when.view);
}

void require_windows(Solver& solver, Var x, std::vector<Window> windows, Literal when) {
  Windows::post(solver.state(), x, std::move(windows), when);
}

// The hole that `value` lies in, or -1.
std::int32_t Windows::hole_at(std::int32_t value) const {
  const auto after =
      std::partition_point(holes_.begin(), holes_.end(), [&](const Hole& h) { return h.end < value; });
  return after != holes_.end() && after->begin <= value ? static_cast<std::int32_t>(after - holes_.begin())
                                                        : -1;
}

bool Windows::propagate(State& state) {
  const Trail& trail = state.trail();
  if (trail.fails(when_)) return true;
  const std::int32_t low = hole_at(trail.low(x_));
  const std::int32_t high = hole_at(trail.high(x_));
  if (low >= 0 && low == high) {
    const Literal inside[] = {at_least(x_, holes_[low].begin), at_most(x_, holes_[low].end)};
    return state.set_because(~when_, inside);
  }
  if (!trail.holds(when_)) return true;
  return (low < 0 || state.set(at_least(x_, holes_[low].end + 1), {number_, low, 0})) &&
         (high < 0 || state.set(at_most(x_, holes_[high].begin - 1), {number_, high, 0}));
}

void Windows::explain(const Trail&, Literal what, std::int32_t, Reason reason,
                      std::vector<Literal>& because) const {
  const Hole& hole = holes_[reason.datum];
  because.push_back(what.view == rising(x_) ? at_least(x_, hole.begin) : at_most(x_, hole.end));
  if (when_ != kAlways) because.push_back(when_);
}

}  // namespace handlot::engine
