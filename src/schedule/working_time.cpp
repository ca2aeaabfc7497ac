#include "schedule/working_time.h"

#include <algorithm>
#include <memory>

namespace handlot::schedule {

using engine::Literal;
using engine::State;

namespace {

std::int32_t bound(Time t) {
  return static_cast<std::int32_t>(std::clamp<Time>(t, -engine::kFar, engine::kFar));
}
Literal from(engine::Var x, Time t) {
  return engine::at_least(x, bound(t));
}
Literal until(engine::Var x, Time t) {
  return engine::at_most(x, bound(t));
}

}  // namespace

void WorkingTime::post(State& state, const ShopHours& hours, const WorkingTimeRow& row) {
  const auto number = state.add(std::unique_ptr<WorkingTime>(new WorkingTime(hours, row)), 0);
  state.wake_both(number, row.start);
  state.wake_both(number, row.hands_end);
  if (row.when != engine::kAlways) state.wake(number, row.when.view);
}

bool WorkingTime::conclude(State& state, Literal then, Literal because) const {
  if (state.trail().holds(then)) return true;
  const Literal reasons[] = {because, row_.when};
  return state.set_because(then, std::span(reasons, row_.when == engine::kAlways ? 1 : 2));
}

bool WorkingTime::start_in_hours(State& state) const {
  const Time low = state.trail().low(row_.start), up = next(low);
  if (up > low &&
      !conclude(state, from(row_.start, up), from(row_.start, last(std::min(up, kNever) - 1) + 1)))
    return false;
  const Time high = state.trail().high(row_.start), down = last(high);
  return down >= high || conclude(state, until(row_.start, down), until(row_.start, next(down + 1) - 1));
}

bool WorkingTime::ends_follow(State& state) const {
  const Time first = end(state.trail().low(row_.start));
  if (!conclude(state, from(row_.hands_end, first), from(row_.start, last_for_end(first - 1) + 1)))
    return false;
  if (!row_.exact) return true;
  const Time high = state.trail().high(row_.start);
  return conclude(state, until(row_.hands_end, end(high)), until(row_.start, next(high + 1) - 1));
}

bool WorkingTime::starts_follow(State& state) const {
  const Time high = last_for_end(state.trail().high(row_.hands_end));
  const Time after = next(high + 1);
  const Time too_late = after >= kNever ? kNever : end(after);
  if (!conclude(state, until(row_.start, high), until(row_.hands_end, too_late - 1))) return false;
  if (!row_.exact) return true;
  const Time before = last_for_end(Time{state.trail().low(row_.hands_end)} - 1);
  if (before < 0) return true;
  return conclude(state, from(row_.start, before + 1), from(row_.hands_end, end(before) + 1));
}

/// `when` is open: does it still fit?
bool WorkingTime::refute(State& state) const {
  const Time low = state.trail().low(row_.start), high = state.trail().high(row_.start);
  const Time first = next(low), latest = last_for_end(state.trail().high(row_.hands_end));
  if (first > latest) {
    const Time after = next(latest + 1);
    const Literal reasons[] = {from(row_.start, latest + 1),
                               until(row_.hands_end, (after >= kNever ? kNever : end(after)) - 1)};
    return state.set_because(~row_.when, reasons);
  }
  if (first > high) {
    const Literal reasons[] = {from(row_.start, last(std::min(first, kNever) - 1) + 1),
                               until(row_.start, first - 1)};
    return state.set_because(~row_.when, reasons);
  }
  if (!row_.exact) return true;
  const Time top = end(last(high));
  if (top >= state.trail().low(row_.hands_end)) return true;
  const Literal reasons[] = {until(row_.start, next(high + 1) - 1), from(row_.hands_end, top + 1)};
  return state.set_because(~row_.when, reasons);
}

bool WorkingTime::propagate(State& state) {
  if (state.trail().fails(row_.when)) return true;
  if (!state.trail().holds(row_.when)) return refute(state);
  return start_in_hours(state) && ends_follow(state) && starts_follow(state) && start_in_hours(state);
}

}  // namespace handlot::schedule
