#include "record/timers.h"

#include <algorithm>
#include <iterator>
#include <limits>
#include <tuple>

#include <fmt/format.h>

#include "record/admit.h"
#include "record/late.h"

namespace handlot::record {
namespace {

std::optional<Moment> moment_of(const State& state, const plan::Plan& plan, const plan::Event& event,
                                int unit) {
  const auto* step = find_step(plan, event.step);
  const Cell* cell = step ? cell_of(state, *step, unit) : nullptr;
  if (!cell) return std::nullopt;
  return event.edge == plan::Edge::start ? cell->start : cell->done;
}

/// The step that would end the wait has begun (or ended, where its end is meant).
bool over(const State& state, const plan::Plan& plan, const plan::Event& to, int unit) {
  return moment_of(state, plan, to, unit).has_value();
}

/// What runs by itself lasts as long, and has a timer of its own: one jar on the bench rings once.
bool runs_so_long(const State& state, const plan::Wait& wait, const plan::Step& from, int unit) {
  const Cell* cell = cell_of(state, from, unit);
  if (!cell || !cell->start || wait.from.edge != plan::Edge::start || wait.max || wait.min > from.timing.unattended) return false;
  return !cell->done || elapsed(*cell->start, *cell->done, state.gaps).least_s >= static_cast<double>(wait.min.seconds);
}

bool melted(const plan::Plan& plan, const State& state, const plan::Wait& wait, int unit, const Moment& began) {
  return wait.kind == plan::ReasonKind::paste && is_melted(plan, state, wait.from.step, unit, began);
}

void judge(Timer& timer, const State& state, const Moment& now) {
  const Elapsed gone = elapsed(timer.began, now, state.gaps);
  timer.gone_least_s = gone.least_s;
  timer.gone_most_s = gone.most_s;
  timer.until_ready_s = timer.begun_by_some ? timer.min_s : timer.min_s - gone.least_s;
  if (timer.max_s) {
    timer.until_late_s = *timer.max_s - gone.most_s;
    timer.late_for_sure = gone.least_s > *timer.max_s;
  }
  if (timer.until_late_s && *timer.until_late_s < 0)
    timer.phase = Phase::late;
  else if (timer.until_ready_s <= 0)
    timer.phase = Phase::ready;
  else
    timer.phase = gone.most_s >= timer.min_s && !timer.begun_by_some ? Phase::doubtful : Phase::running;
  const bool ended = timer.phase == Phase::late || (timer.phase == Phase::ready && timer.min_s > 0);
  // Late is news of its own: stopping the first alarm does not stop that one.
  const auto heard = state.heard.find(timer.id + (timer.phase == Phase::late ? "!" : ""));
  timer.sounds = ended;
  if (heard == state.heard.end()) return;
  const Heard& h = heard->second;
  timer.sounds = ended && h.again_after && elapsed(*h.again_after, now, state.gaps).most_s >= h.again_s;
}

std::string id_of(const std::string& what, const Moment& began) {
  return fmt::format("{}@{}.{}", what, began.ran_ms, began.wall_ms - began.kept_ms);
}

std::int64_t touched_wall_ms(const Moment& moment) { return moment.wall_ms - moment.kept_ms; }

Timer from_wait(const plan::Wait& wait, const plan::Step& from, int unit, const Moment& began) {
  Timer timer;
  timer.id = id_of(wait.id, began);
  timer.units = {unit};
  timer.from = wait.from.step;
  timer.to = wait.to.step;
  timer.what = wait.what;
  timer.then = wait.then;
  timer.if_late = if_late_words(from, wait.if_late);
  timer.began = began;
  timer.min_s = static_cast<double>(wait.min.seconds);
  if (wait.max) timer.max_s = static_cast<double>(wait.max->seconds);
  if (wait.latest) {
    const double left = static_cast<double>(wait.latest->seconds) - static_cast<double>(touched_wall_ms(began)) / 1000;
    timer.max_s = std::max(0.0, std::min(timer.max_s.value_or(left), left));
  }
  return timer;
}

void unit_timers(const plan::Plan& plan, const State& state, const plan::Wait& wait,
                 std::vector<Timer>& out) {
  const auto* from = find_step(plan, wait.from.step);
  const auto* to = find_step(plan, wait.to.step);
  if (!from || !to) return;
  const bool once = from->timing.whole_lot && to->timing.whole_lot;
  for (const int unit : once ? std::vector<int>{0} : state.good_units()) {
    const auto began = moment_of(state, plan, wait.from, unit);
    if (began && !over(state, plan, wait.to, unit) && !runs_so_long(state, wait, *from, unit) && !melted(plan, state, wait, unit, *began)) out.push_back(from_wait(wait, *from, unit, *began));
  }
}

/// A unit went on when the time was over: it is no news for the others.
bool begun_after(const plan::Plan& plan, const State& state, const plan::Wait& wait, const Moment& last) {
  const auto units = state.good_units();
  return std::any_of(units.begin(), units.end(), [&](int unit) {
    const auto at = moment_of(state, plan, wait.to, unit);
    return at && at->seq > last.seq && elapsed(last, *at, state.gaps).least_s >= static_cast<double>(wait.min.seconds);
  });
}

/// The whole lot waits: "not before" counts from the last unit, "not after" from the first. When a "not before" ends that
/// the last unit has not begun is not known; without one there is nothing that ends but the latest end.
void lot_timer(const plan::Plan& plan, const State& state, const plan::Wait& wait, std::vector<Timer>& out) {
  std::optional<Moment> first, last;
  bool all = true, ended = true;
  const auto* from = find_step(plan, wait.from.step);
  for (const int unit : state.good_units()) {
    ended = ended && (over(state, plan, wait.to, unit) || (from && runs_so_long(state, wait, *from, unit)));
    const auto at = moment_of(state, plan, wait.from, unit);
    if (!at) all = false;
    if (at && (!first || touched_ms(*at) < touched_ms(*first))) first = at;
    if (at && (!last || at->seq > last->seq)) last = at;
  }
  if (ended || !from || !first || (!all && !wait.max)) return;
  Timer timer = from_wait(wait, *from, 0, *first);
  const double between = static_cast<double>(last->ran_ms - first->ran_ms) / 1000;
  timer.begun_by_some = !all && timer.min_s > 0;
  if (all && timer.min_s > 0)
    timer.min_s += std::max(between, elapsed(*first, *last, state.gaps).least_s);
  if (!wait.max && begun_after(plan, state, wait, *last)) return;
  out.push_back(timer);
}

void run_timers(const plan::Plan& plan, const State& state, std::vector<Timer>& out) {
  for (const auto& [key, cell] : state.cells) {
    if (cell.stand != Stand::running || !cell.leave) continue;
    if (key.second != 0 && !state.in_lot(key.second)) continue;
    const auto* step = find_step(plan, key.first);
    if (!step) continue;
    Timer timer;
    timer.id = id_of("run." + key.first.text, *cell.leave);
    timer.units = {key.second};
    timer.from = key.first;
    timer.what = fmt::format("step {} runs by itself: {}", step->number, step->title);
    timer.then = fmt::format("look, then tick step {} as done", step->number);
    timer.began = *cell.leave;
    timer.min_s = static_cast<double>(step->timing.unattended.seconds);
    out.push_back(timer);
  }
}

/// What was mixed as hands began is used up before they are through.
void cup_timers(const plan::Plan& plan, const State& state, std::vector<Timer>& out) {
  for (const auto& [key, cell] : state.cells) {
    if (cell.stand != Stand::started || !cell.start) continue;
    if (key.second != 0 && !state.in_lot(key.second)) continue;
    const auto* step = find_step(plan, key.first);
    if (!step) continue;
    for (const plan::Cup& cup : step->cups) {
      Timer timer;
      timer.id = id_of(fmt::format("cup.{}.{}", key.first.text, cup.card.text), *cell.start);
      timer.units = {key.second};
      timer.from = key.first;
      timer.what = cup.what;
      timer.then = fmt::format("tick step {} as done", step->number);
      timer.if_late = cup.if_late;
      timer.began = *cell.start;
      timer.max_s = static_cast<double>(cup.life.seconds);
      out.push_back(timer);
    }
  }
}

/// How long ago it was last decided, in proven seconds, that the step may begin for this unit, whatever is in the air or hot; empty
/// where it may not yet.
std::optional<double> waits_for_air_alone(const plan::Plan& plan, const State& state, const plan::Step& step, int unit, const Moment& now) {
  for (const Obstacle& o : obstacles(plan, state, step, unit, plan::Edge::start, now)) {
    if (o.kind != Obstacle::Kind::wait && o.kind != Obstacle::Kind::doubt) return std::nullopt;
  }
  double longest_left = std::numeric_limits<double>::lowest();
  for (const plan::Constraint& link : plan.work.constraints) {
    if (link.to.step != step.id || link.to.edge != plan::Edge::start || link.from.step == step.id) continue;
    const auto at = moment_of(state, plan, link.from, unit);
    if (at) longest_left = std::max(longest_left, static_cast<double>(link.min.seconds) - elapsed(*at, now, state.gaps).least_s);
  }
  return -longest_left;
}

/// What `out` left in the air, or hot, holds up `next` of a pair that is never on together.
void air_timer(const plan::Plan& plan, const State& state, const StepId& out, const StepId& next, Duration clear, const Moment& now,
               std::vector<Timer>& timers) {
  constexpr double kTold = 30 * 60;  // so long an end is news [practice]
  const auto* first = find_step(plan, out);
  const auto* then = find_step(plan, next);
  const LastOut last = last_out(state, out);
  if (clear.seconds <= 0 || !first || !then || !last.ended || last.going_on) return;
  const double over_s = elapsed(*last.ended, now, state.gaps).least_s - static_cast<double>(clear.seconds);
  if (over_s > kTold) return;
  Timer timer;
  for (const int unit : then->timing.whole_lot ? std::vector<int>{0} : state.good_units()) {
    const Cell* cell = cell_of(state, *then, unit);
    if (cell && cell->start && cell->start->seq > last.ended->seq) return;  // it was begun since
    if (cell && cell->stand != Stand::open && cell->stand != Stand::again) continue;
    const auto free_for = waits_for_air_alone(plan, state, *then, unit, now);
    if (free_for && *free_for >= over_s) timer.units.push_back(unit);
  }
  if (timer.units.empty()) return;
  timer.id = id_of(fmt::format("air.{}.{}", out.text, next.text), *last.ended);
  timer.from = out;
  timer.to = next;
  timer.what = fmt::format("air clear and tools cold after step {} ({})", first->number, first->title);
  timer.then = fmt::format("step {} ({})", then->number, then->title);
  timer.began = *last.ended;
  timer.min_s = static_cast<double>(clear.seconds);
  timers.push_back(std::move(timer));
}

void air_timers(const plan::Plan& plan, const State& state, const Moment& now, std::vector<Timer>& out) {
  for (const plan::NeverTogether& pair : plan.work.apart) {
    air_timer(plan, state, pair.a, pair.b, pair.clear_after_a, now, out);
    air_timer(plan, state, pair.b, pair.a, pair.clear_after_b, now, out);
  }
}

/// Units whose wait began with one touch wait as one.
std::vector<Timer> together(std::vector<Timer> all) {
  std::map<std::string, std::size_t> place;
  std::vector<Timer> out;
  for (Timer& timer : all) {
    const auto [at, fresh] = place.emplace(timer.id, out.size());
    if (fresh)
      out.push_back(std::move(timer));
    else
      out[at->second].units.push_back(timer.units.front());
  }
  return out;
}

auto harm(const Timer& t) {
  const bool can_be_late = t.until_late_s.has_value();
  switch (t.phase) {
    case Phase::late:
      return std::tuple(0, *t.until_late_s, t.id);
    case Phase::ready:
      return can_be_late ? std::tuple(1, *t.until_late_s, t.id) : std::tuple(2, t.until_ready_s, t.id);
    case Phase::doubtful:
      return std::tuple(3, t.until_ready_s, t.id);
    case Phase::running:
      break;
  }
  return std::tuple(4, t.until_ready_s, t.id);
}

/// What all units end with one step of the whole lot has one latest end, the nearest: rags of five bodies lie in one tin.
std::vector<Timer> once_a_lot(const plan::Plan& plan, std::vector<Timer> in_order) {
  std::vector<Timer> out;
  for (Timer& timer : in_order) {
    const auto* to = timer.max_s && timer.min_s <= 0 ? find_step(plan, timer.to) : nullptr;
    const auto there = std::find_if(out.begin(), out.end(), [&](const Timer& t) { return to && to->timing.whole_lot && t.to == timer.to && t.max_s && t.min_s <= 0 && t.if_late == timer.if_late; });
    if (there == out.end()) {
      out.push_back(std::move(timer));
      continue;
    }
    std::vector<int> units;
    std::sort(timer.units.begin(), timer.units.end());
    std::sort(there->units.begin(), there->units.end());
    std::set_union(there->units.begin(), there->units.end(), timer.units.begin(), timer.units.end(), std::back_inserter(units));
    there->units = units.front() == 0 ? std::vector<int>{0} : units;
  }
  return out;
}

}  // namespace

std::string_view word(Phase phase) {
  switch (phase) {
    case Phase::late:
      return "late";
    case Phase::ready:
      return "ready";
    case Phase::doubtful:
      return "over, if the clock is right";
    case Phase::running:
      return "running";
  }
  return "";
}

Moment now_moment(const Stamp& at) {
  return {std::numeric_limits<std::int64_t>::max(), at.ran_ms, at.wall_ms};
}

std::vector<Timer> timers(const plan::Plan& plan, const State& state, const Moment& now) {
  std::vector<Timer> out;
  for (const plan::Wait& wait : plan.waits) {
    if (wait.scope == plan::Scope::unit)
      unit_timers(plan, state, wait, out);
    else
      lot_timer(plan, state, wait, out);
  }
  run_timers(plan, state, out);
  cup_timers(plan, state, out);
  air_timers(plan, state, now, out);
  out = together(std::move(out));
  for (Timer& timer : out) judge(timer, state, now);
  std::sort(out.begin(), out.end(), [](const Timer& a, const Timer& b) { return harm(a) < harm(b); });
  return once_a_lot(plan, std::move(out));
}

}  // namespace handlot::record
