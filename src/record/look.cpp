#include "record/look.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

#include "core/text.h"
#include "plan/find.h"
#include "plan/spare.h"
#include "plan/units.h"
#include "record/follow.h"
#include "record/late.h"
#include "record/meant.h"
#include "record/places.h"
#include "record/presence.h"
#include "record/reserve.h"

namespace handlot::record {
namespace {

struct Turn {
  const plan::Step* step;
  std::vector<int> units;
};

/// The operations of the schedule in their order; without a schedule, step after step.
std::vector<Turn> turns(const plan::Plan& plan, const State& state) {
  std::vector<Turn> out;
  std::map<StepId, std::vector<bool>> seen;
  const auto turn = [&](const plan::Step& step, const std::vector<int>& units) {
    Turn t{&step, {}};
    if (step.timing.whole_lot) {
      if (seen.emplace(step.id, std::vector<bool>{}).second) t.units.push_back(0);
    } else {
      auto& had = seen[step.id];
      had.resize(static_cast<std::size_t>(state.lot) + 1);
      for (const int n : units)
        if (n >= 1 && n <= state.lot && !had[static_cast<std::size_t>(n)]) {
          had[static_cast<std::size_t>(n)] = true;
          t.units.push_back(n);
        }
    }
    if (!t.units.empty()) out.push_back(std::move(t));
  };
  for (const auto& op : plan.schedule.operations)
    if (const auto* step = find_step(plan, op.step)) turn(*step, plan::units_in(op));
  std::vector<int> all(static_cast<std::size_t>(state.lot));
  std::iota(all.begin(), all.end(), 1);
  for (const auto& step : plan.work.steps) turn(step, all);
  return out;
}

/// Units of a turn that still have it to do; of a lot step also single units that must pass again.
std::vector<int> left_over(const State& state, const Turn& turn) {
  std::vector<int> out;
  for (const int n : turn.units)
    if ((n == 0 || state.in_lot(n)) && !is_done(state, *turn.step, n)) out.push_back(n);
  if (turn.step->timing.whole_lot && out.empty())
    for (const int n : state.good_units())
      if (home_unit(state, *turn.step, n) == n && !is_done(state, *turn.step, n)) out.push_back(n);
  return out;
}

bool at(const State& state, const plan::Step& step, int unit, Stand stand) {
  const Cell* cell = cell_of(state, step, unit);
  return cell && cell->stand == stand;
}

struct NotReady {
  int unit;
  std::vector<Obstacle> against;
  /// When only time is missing.
  std::optional<double> in_s() const {
    if (!only_time_is_missing(against)) return std::nullopt;
    double longest = 0;
    for (const Obstacle& o : against) longest = std::max(longest, o.wait_s);
    return longest;
  }
};

/// The units that time alone makes ready first, and those that are ready with them; where it makes none ready, all.
void soonest(std::vector<NotReady>& held, Task& task) {
  constexpr double kWithThem = 60;  // one walk to the bench [practice]
  std::optional<double> first;
  for (const NotReady& one : held)
    if (const auto in = one.in_s(); in && (!first || *in < *first)) first = in;
  for (NotReady& one : held) {
    const auto in = one.in_s();
    if (first && (!in || *in > *first + kWithThem)) continue;
    task.units.push_back(one.unit);
    if (in) task.ready_in_s = std::max(task.ready_in_s.value_or(0), *in);
    if (task.obstacles.empty()) task.obstacles = std::move(one.against);
  }
}

/// What the hands are at, of these units; without units where that is nothing.
Task begun_of(const State& state, const plan::Step& step, const std::vector<int>& units) {
  Task task;
  task.step = step.id;
  for (const int n : units)
    if (at(state, step, n, Stand::started)) task.units.push_back(n);
  task.in_hand = task.ready = !task.units.empty();
  return task;
}

bool is_cut(const std::vector<CutRun>& cut, const StepId& step, int unit) {
  return std::any_of(cut.begin(), cut.end(), [&](const CutRun& c) { return c.step == step && std::find(c.units.begin(), c.units.end(), unit) != c.units.end(); });
}

/// Splits off what is ready: the rest of the units comes in a later task.
Task task_of(const plan::Plan& plan, const State& state, const plan::Step& step,
             const std::vector<int>& units, const Moment& now) {
  Task task = begun_of(state, step, units);
  if (task.in_hand) return task;
  std::vector<NotReady> held;
  for (const int n : units) {
    if (at(state, step, n, Stand::running)) continue;
    auto against = obstacles(plan, state, step, n, plan::Edge::start, now);
    if (against.empty())
      task.units.push_back(n);
    else
      held.push_back({n, std::move(against)});
  }
  task.ready = !task.units.empty();
  if (task.ready)
    task.units.resize(std::min(task.units.size(), room(plan, state, step, now)));
  else
    soonest(held, task);
  return task;
}

/// It is not back yet, or not dry yet: somebody has asked for the alarm of its run later.
bool is_put_off(const State& state, const std::vector<Timer>& waiting, const StepId& step, int unit, const Moment& now) {
  return std::any_of(waiting.begin(), waiting.end(), [&](const Timer& t) {
    if (!is_of_run(t) || t.from != step || std::find(t.units.begin(), t.units.end(), unit) == t.units.end()) return false;
    const auto heard = state.heard.find(t.id);
    return heard != state.heard.end() && heard->second.again_after && elapsed(*heard->second.again_after, now, state.gaps).most_s < heard->second.again_s;
  });
}

/// Ran by itself and its time is over: hands must look and tick it.
struct RunOut {
  Task task;
  double over_s = 0;  ///< since the last of its units ran out
};

RunOut run_out(const State& state, const Turn& turn, const std::vector<Timer>& waiting, const std::vector<CutRun>& cut, const Moment& now) {
  RunOut out;
  for (const int n : turn.units) {
    const Cell* cell = cell_of(state, *turn.step, n);
    if ((n != 0 && !state.in_lot(n)) || !cell || cell->stand != Stand::running || !cell->leave) continue;
    const double over = elapsed(*cell->leave, now, state.gaps).least_s - static_cast<double>(turn.step->timing.unattended.seconds);
    if (over < 0 || is_cut(cut, turn.step->id, n) || is_put_off(state, waiting, turn.step->id, n, now)) continue;
    out.over_s = out.task.units.empty() ? over : std::min(out.over_s, over);
    out.task.units.push_back(n);
  }
  out.task.step = turn.step->id;
  out.task.in_hand = out.task.ready = true;
  return out;
}

void count(const plan::Plan& plan, const State& state, View& view) {
  for (const auto& step : plan.work.steps) {
    const auto units = step.timing.whole_lot ? std::vector<int>{0} : state.good_units();
    view.all += static_cast<int>(units.size());
    for (const int n : units) view.done += is_done(state, step, n) ? 1 : 0;
  }
}

/// Begun by somebody who has left since, and had the time to end it.
std::optional<Absent> left_behind(const plan::Plan& plan, const State& state, const Task& task, const Follow& follow, const Moment& now) {
  constexpr double kSlower = 1.25;  // [practice]
  const auto* step = find_step(plan, task.step);
  const double takes = kSlower * follow.hands_s(*step, task.units.size());
  const bool busy = std::any_of(task.units.begin(), task.units.end(), [&](int n) {
    const Cell* cell = cell_of(state, *step, n);
    return !cell || !cell->start || elapsed(*cell->start, now, state.gaps).least_s < takes;
  });
  return busy ? std::nullopt : absent(plan, state, *step, now);
}

/// What the hands are at. What stays half done until somebody is back goes into `waits`.
std::optional<Task> in_hand(const plan::Plan& plan, const State& state, const std::vector<Turn>& all, const Follow& follow, const Moment& now, std::vector<Task>& waits) {
  for (const Turn& turn : all) {
    Task task = begun_of(state, *turn.step, left_over(state, turn));
    if (!task.in_hand) continue;
    const auto gone = left_behind(plan, state, task, follow, now);
    if (!gone) return task;
    task.ready = false;
    task.obstacles.push_back({Obstacle::Kind::person, task.units.front(), {}, gone->text, gone->wait_s});
    if (gone->wait_s > 0) task.ready_in_s = gone->wait_s;
    waits.push_back(std::move(task));
  }
  return std::nullopt;
}

/// What ran by itself and is over comes after what the hands are at: else a timer that ends would take the page away from
/// under somebody who writes down a value.
std::optional<RunOut> ended_run(const State& state, const std::vector<Turn>& all, const View& view, const Moment& now) {
  for (const Turn& turn : all) {
    RunOut out = run_out(state, turn, view.waiting, view.cut, now);
    if (!out.task.units.empty()) return out;
  }
  return std::nullopt;
}

std::string list(const std::vector<int>& units) {
  std::vector<std::string> parts;
  bool any_span = false;
  for (std::size_t i = 0; i < units.size();) {
    std::size_t j = i;
    while (j + 1 < units.size() && units[j + 1] == units[j] + 1) ++j;
    if (j > i + 1) any_span = true;
    if (j == i + 1) parts.push_back(fmt::format("{}", units[i]));
    parts.push_back(j > i + 1 ? fmt::format("{} to {}", units[i], units[j]) : fmt::format("{}", units[j]));
    i = j + 1;
  }
  return any_span ? fmt::format("{}", fmt::join(parts, ", ")) : listed(parts);
}

bool shares(const std::vector<int>& a, const std::vector<int>& b) {
  return a.front() == 0 || b.front() == 0 ||
         std::any_of(a.begin(), a.end(),
                     [&](int n) { return std::find(b.begin(), b.end(), n) != b.end(); });
}

/// So long from when the one step is done the other may not begin: vapour, a hot tool.
std::optional<Duration> air_between(const plan::Plan& plan, const StepId& first, const StepId& then) {
  std::optional<Duration> most;
  const auto pair = [&](const StepId& a, const StepId& b, Duration clear) {
    if (a == first && b == then) most = std::max(most.value_or(Duration(0)), clear);
  };
  for (const plan::NeverTogether& apart : plan.work.apart) {
    pair(apart.a, apart.b, apart.clear_after_a);
    pair(apart.b, apart.a, apart.clear_after_b);
  }
  return most;
}

/// Glue on what has dried holds nothing; what was squeezed out is cut off late, too.
bool is_for_good(const plan::Step& step) { return step.irreversible && step.process != "trim"; }

/// Done late it still does good, and the sooner the better: oil is wiped, rags go under water, flux is washed off. What has
/// dried, stiffened or gone dull is for the step before it to make good.
bool still_helps(plan::ReasonKind kind, const plan::Step& step) {
  using plan::ReasonKind;
  return (kind == ReasonKind::stated && !is_for_good(step)) || kind == ReasonKind::safety || kind == ReasonKind::chemistry ||
         (kind == ReasonKind::clock && step.process == "wipe-off");
}

/// The step that began the clock makes good what has passed its latest end: glue is brushed again, a face wiped again, paste
/// printed again. Parts that were too long in the air are baked, which is another step.
bool is_made_good(plan::ReasonKind kind, const plan::Step& step) {
  using plan::ReasonKind;
  if (kind == ReasonKind::surface || kind == ReasonKind::paste) return true;
  return (kind == ReasonKind::stated || kind == ReasonKind::clock) && is_for_good(step);
}

/// Which of the things that are ready comes first. What is late, where that still helps; then plan order, but nothing is
/// begun that would keep the hands, or the air, until another step's latest end has passed.
class Chooser {
 public:
  Chooser(const plan::Plan& plan, const State& state, const Moment& now, const std::vector<Timer>& waiting)
      : plan_(plan), state_(state), now_(now), follow_(plan, state, now, waiting) {
    for (const Timer& timer : waiting) {
      if (timer.to.empty() || !timer.until_late_s) continue;
      const auto* step = find_step(plan, timer.to);
      if (!step) continue;
      const auto units = left_over(state, {step, home_units(*step, timer.units)});
      if (*timer.until_late_s <= 0) {
        add_late(*step, units);
        add_dried(*step, units, timer);
        continue;
      }
      add_clock(*step, units, timer);
      Task task = task_of(plan, state, *step, units, now);
      const bool soon = task.ready || (task.ready_in_s && *task.ready_in_s < *timer.until_late_s);
      if (task.units.empty() || task.in_hand || !soon) continue;
      if (task.ready && is_held(task, *timer.until_late_s)) continue;
      ends_.push_back(end_of(std::move(task), *step, timer));
    }
    std::sort(ends_.begin(), ends_.end(),
              [](const End& a, const End& b) { return a.left_s < b.left_s; });
    std::stable_partition(late_first_.begin(), late_first_.end(), [&](const Task& t) { return is_of_safety(t); });
  }

  /// What has passed its latest end, unless a clock that can still be kept were lost by it: rags that may be hot, then what
  /// is late for the longest.
  std::optional<Task> late() const {
    for (const Task& task : late_first_) {
      const auto& step = *find_step(plan_, task.step);
      if (!loses_a_clock(step, task) && air_against(task).empty()) return task;
    }
    return std::nullopt;
  }

  /// What a run that is over does not keep the hands from: a latest end that is close, and once nobody has come to the run for a
  /// while also one that is near, and what is late.
  std::optional<Task> outranks(const RunOut& over) const {
    constexpr double kClose = 5 * 60, kFresh = 5 * 60;  // [practice]
    const bool fresh = over.over_s < kFresh;
    for (const End& end : ends_) {
      const bool near = end.left_s <= kClose || (!fresh && (2 * end.left_s < end.window_s || end.left_s <= static_cast<double>(kSoonAfter.seconds)));
      if (end.task.ready && near && air_against(end.task).empty()) return end.task;
    }
    return fresh ? std::nullopt : late();
  }

  /// Why the air that the step leaves, or its heat, makes a running clock late; empty: it makes none.
  std::string air_against(const Task& task) const {
    const auto& step = *find_step(plan_, task.step);
    for (const End& clock : clocks_) {
      const auto& then = *find_step(plan_, clock.task.step);
      const auto clear = air_between(plan_, step.id, then.id);
      if (!clear || then.id == step.id || comes_first(step, task, clock) || keeps_its_air(step, task, clock, *clear)) continue;
      return fmt::format("{} must begin within {}{}, and cannot before this is done{}", name_of(then), handlot::in_words(Duration(std::llround(clock.left_s))),
                         clock.of_hours ? " of shop hours" : "",
                         clear->seconds > 0 ? fmt::format(" and {} have gone by: vapour and hot tools are never out together", handlot::in_words(*clear)) : "");
    }
    return "";
  }

  /// Held back although its own clock runs: there is time for it after the next opening, or what must follow is lost for
  /// certain. An end within half an hour outweighs whatever may follow.
  bool is_held(const Task& task, double until_late_s) const {
    if (follow_.can_wait(task.step, task.units, until_late_s)) return !too_early(task).empty();
    return until_late_s > static_cast<double>(kSoonAfter.seconds) && !follow_.too_early(task.step, task.units, Follow::What::for_certain).empty();
  }

  /// A clock of the whole lot is of each unit where the step at its end is done unit by unit, and the other way round.
  std::vector<int> home_units(const plan::Step& step, const std::vector<int>& of_clock) const {
    if (step.timing.whole_lot) return {0};
    const bool lot = std::find(of_clock.begin(), of_clock.end(), 0) != of_clock.end();
    return lot ? state_.good_units() : of_clock;
  }

  /// Units whose latest end has passed, and what is done again for it.
  std::vector<Lost> dried() const { return dried_; }

  std::string too_early(const Task& task) const { return follow_.too_early(task.step, task.units); }
  bool in_vain(const Task& task) const { return !follow_.in_vain(task.step, task.units).empty(); }

  std::vector<Lost> lost(const std::vector<Timer>& waiting) const {
    std::vector<Lost> out;
    if (missing(plan_, state_, now_).empty()) return out;
    for (const Timer& clock : waiting)
      if (auto why = follow_.lost(clock, clock.units.front()); !why.empty()) out.push_back({clock.units, clock.from, std::move(why)});
    return out;
  }

  /// The task as it can be begun now: with fewer units where all of them would take too long.
  std::optional<Task> taken(Task task) {
    if (!task.ready) {
      if (!late_ && all_late(task.obstacles) && std::find(closed_.begin(), closed_.end(), task.step) == closed_.end()) late_ = std::move(task);
      return std::nullopt;
    }
    const auto* step = find_step(plan_, task.step);
    const End* own = own_end(task);
    if (!task.better_later.empty() && !own) return std::nullopt;
    task.better_later.clear();  // its own clock runs: it does not wait for what follows
    if (own && makes_a_nearer_late(*step, task, *own)) return std::nullopt;
    if (own && !air_against(task).empty()) return std::nullopt;
    for (const End& end : ends_) {
      if (&end == own) return task;  // the nearest of all: with all its units, which run out together
      if (end.task.step == task.step && shares(end.task.units, task.units)) continue;
      if (end.task.ready && 2 * end.left_s < end.window_s) return std::nullopt;  // that one first
      while (task.units.size() > 1 && !leaves_time(*step, task, end)) task.units.pop_back();
      if (!leaves_time(*step, task, end)) return std::nullopt;
    }
    return task;
  }

  /// What was held back, where nothing runs that it could wait for and no other opening of the shop is better.
  std::optional<Task> let_go(View& view) const {
    const bool runs = std::any_of(state_.cells.begin(), state_.cells.end(), [](const auto& cell) { return cell.second.stand == Stand::running; });
    const bool clocks = std::any_of(view.waiting.begin(), view.waiting.end(), [](const Timer& t) { return t.phase == Phase::running; });
    const auto held = std::find_if(view.next.begin(), view.next.end(), [&](const Task& t) { return t.ready && !t.better_later.empty() && !follow_.follower_is_absent(t.step); });
    const bool away = !missing(plan_, state_, now_).empty();  // it is waited for
    if (runs || clocks || away || held == view.next.end() || !follow_.no_better_opening()) return std::nullopt;
    Task task = std::move(*held);
    view.next.erase(held);
    return task;
  }

  /// When nothing was taken: what the hands wait for, or what is late already.
  std::optional<Task> second_best(View& view) const {
    const End* nearer = nullptr;
    for (const End& end : ends_) {
      if (!end.task.ready) continue;
      const End* lost = lost_by(end);
      if (!lost) return end.task;
      if (auto fewer = before(end, *lost)) return fewer;
      nearer = nearer ? nearer : lost;
    }
    const bool held = std::any_of(view.next.begin(), view.next.end(), [](const Task& t) { return t.ready && t.better_later.empty(); });
    if (nearer || (!ends_.empty() && held)) {
      const End& end = nearer ? *nearer : ends_.front();
      view.kept_free = fmt::format(
          "{} can begin in {} and must within {}{}; what else is ready takes longer",
          name_of(*find_step(plan_, end.task.step)),
          handlot::in_words(Duration(std::llround(end.task.ready_in_s.value_or(0)))),
          handlot::in_words(Duration(std::llround(end.left_s))), end.of_hours ? " of shop hours" : "");
      return std::nullopt;
    }
    return late_;
  }

 private:
  struct End {
    Task task;
    double left_s;    ///< for the hands, in shop hours as far as they are known
    double window_s;  ///< the same, of the whole wait
    bool of_hours;    ///< and so less than by the clock

    double spare_s() const { return plan::time_to_spare(Seconds(window_s)).value; }
    /// Hands have so long for something else: until it can begin, or with time to spare before it must.
    double free_s() const { return std::max(task.ready_in_s.value_or(0), left_s - spare_s()); }
  };

  void add_late(const plan::Step& step, const std::vector<int>& units) {
    for (const plan::Constraint& link : plan_.work.constraints)
      if (link.to.step == step.id && link.max && !still_helps(link.reason.kind, step)) return;
    Task task;
    task.step = step.id;
    for (const int n : units) {
      auto against = obstacles(plan_, state_, step, n, plan::Edge::start, now_);
      if (at(state_, step, n, Stand::started) || at(state_, step, n, Stand::running) || !all_late(against)) continue;
      task.units.push_back(n);
      if (task.obstacles.empty()) task.obstacles = std::move(against);
    }
    if (!task.units.empty()) late_first_.push_back(std::move(task));
  }

  /// A cup for the whole lot is mixed anew for the units that have none of it yet.
  void add_dried(const plan::Step& step, const std::vector<int>& to_do, const Timer& timer) {
    const auto& all = plan_.work.constraints;
    const auto* from = find_step(plan_, timer.from);
    const auto good = std::any_of(all.begin(), all.end(), [&](const plan::Constraint& c) {
      return c.from.step == timer.from && c.to.step == step.id && c.max && (is_done_again_when_late(c) || (is_made_good(c.reason.kind, step) && !still_helps(c.reason.kind, step)));
    });
    if (!good || !from || to_do.empty() || at(state_, step, to_do.front(), Stand::started)) return;
    Lost lost{{}, timer.from, timer.if_late};
    const bool none_yet = step.timing.whole_lot || to_do.size() == state_.good_units().size();
    if (from->timing.whole_lot && none_yet) lost.units = {0};
    else
      for (const int n : to_do.front() == 0 ? state_.good_units() : to_do)
        if (is_done(state_, *from, n)) lost.units.push_back(n);
    const bool named = std::any_of(dried_.begin(), dried_.end(), [&](const Lost& l) { return l.from == lost.from && l.units == lost.units; });
    if (is_for_good(step) && !lost.units.empty()) closed_.push_back(step.id);
    if (!lost.units.empty() && !named) dried_.push_back(std::move(lost));
  }

  bool is_of_safety(const Task& task) const {
    const auto& all = plan_.work.constraints;
    return std::any_of(all.begin(), all.end(), [&](const plan::Constraint& c) { return c.to.step == task.step && c.max && c.reason.kind == plan::ReasonKind::safety; });
  }

  End end_of(Task task, const plan::Step& step, const Timer& timer) const {
    const double window = timer.max_s.value_or(0) - timer.min_s;
    const auto left = follow_.left(step, task.units.size(), task.ready_in_s.value_or(0), *timer.until_late_s, window);
    return {std::move(task), left.left_s, left.window_s, left.of_hours && left.left_s < *timer.until_late_s};
  }

  /// Every clock that runs, also where its step waits for another still.
  void add_clock(const plan::Step& step, const std::vector<int>& units, const Timer& timer) {
    if (units.empty() || at(state_, step, units.front(), Stand::started)) return;
    Task task;
    task.step = step.id;
    task.units = units;
    End clock = end_of(std::move(task), step, timer);
    if (follow_.soonest_s(step, units.front()) > clock.left_s) return;  // it is lost whatever the hands do
    clocks_.push_back(std::move(clock));
  }

  /// The step at the end of the clock waits for this one in any case.
  bool comes_first(const plan::Step& step, const Task& task, const End& clock) const {
    return shares(task.units, clock.task.units) && follow_.leads_to(step.id, clock.task.step);
  }

  /// Also where the other way round costs this step's own clock.
  bool keeps_its_air(const plan::Step& step, const Task& task, const End& clock, Duration clear) const {
    const auto out_s = [&](const plan::Step& s, const Task& t) { return kSlower * hands(s, t) + static_cast<double>(s.timing.unattended.seconds); };
    if (out_s(step, task) + static_cast<double>(clear.seconds) <= clock.left_s - clock.spare_s()) return true;
    const End* own = own_end(task);
    const auto& then = *find_step(plan_, clock.task.step);
    const Duration back = air_between(plan_, then.id, step.id).value_or(Duration(0));
    return own != nullptr && out_s(then, clock.task) + static_cast<double>(back.seconds) > own->left_s;
  }

  /// The nearer latest end that time alone brings up, and that is lost when this one is done now and not after it. Where one of the
  /// two is lost in any case, none.
  const End* lost_by(const End& end) const {
    const double takes = seconds(*find_step(plan_, end.task.step), end.task);
    for (const End& other : ends_) {
      if (&other == &end) return nullptr;
      if (other.task.ready || takes <= other.free_s()) continue;
      const double from = other.task.ready_in_s.value_or(0);
      return from + seconds(*find_step(plan_, other.task.step), other.task) > end.left_s ? nullptr : &other;
    }
    return nullptr;
  }

  /// As many of its units as the hands get through before the other.
  std::optional<Task> before(const End& end, const End& other) const {
    Task task = end.task;
    const auto& step = *find_step(plan_, task.step);
    while (task.units.size() > 1 && seconds(step, task) > other.free_s()) task.units.pop_back();
    return seconds(step, task) > other.free_s() ? std::nullopt : std::optional(std::move(task));
  }

  /// Begun now it would keep the hands until a latest end has passed that they keep without it.
  bool loses_a_clock(const plan::Step& step, const Task& task) const {
    const double takes = seconds(step, task);
    double busy = 0;
    for (const End& end : ends_) {
      if (end.task.step == task.step && shares(end.task.units, task.units)) continue;
      if (busy <= end.left_s && busy + takes > std::max(end.left_s, end.task.ready_in_s.value_or(0))) return true;
      if (end.task.ready) busy += seconds(*find_step(plan_, end.task.step), end.task);
    }
    return false;
  }

  /// Its own latest end, the nearest of its units.
  const End* own_end(const Task& task) const {
    const auto own = std::find_if(ends_.begin(), ends_.end(), [&](const End& end) {
      return end.task.step == task.step && shares(end.task.units, task.units);
    });
    return own == ends_.end() ? nullptr : &*own;
  }

  /// Begun before the nearer ends, each of which is done in its turn, it would keep the hands until one of them has passed.
  bool makes_a_nearer_late(const plan::Step& step, const Task& task, const End& own) const {
    double busy = seconds(step, task);
    for (const End& end : ends_) {
      if (&end == &own) break;
      if (!end.task.ready || (end.task.step == task.step && shares(end.task.units, task.units))) continue;
      if (busy > end.left_s) return true;
      busy += seconds(*find_step(plan_, end.task.step), end.task);
    }
    return false;
  }

  static bool all_late(const std::vector<Obstacle>& against) {
    return !against.empty() && std::all_of(against.begin(), against.end(), [](const Obstacle& o) { return o.kind == Obstacle::Kind::late; });
  }

  static std::string name_of(const plan::Step& step) {
    return fmt::format("step {} ({})", step.number, step.title);
  }

  double hands(const plan::Step& step, const Task& task) const { return follow_.hands_s(step, task.units.size()); }

  /// How long hands are bound once they begin: with what must follow soon after, and a quarter more, for these
  /// hands may be slower [practice].
  double seconds(const plan::Step& step, const Task& task) const {
    double follows = 0;
    for (const plan::Wait& wait : plan_.waits) {
      if (wait.from.step != step.id || !wait.max || *wait.max > kSoonAfter) continue;
      const auto* next = find_step(plan_, wait.to.step);
      if (next) follows = std::max(follows, static_cast<double>(wait.min.seconds) + hands(*next, task));
    }
    return kSlower * (hands(step, task) + follows);
  }

  /// Before the other must begin the hands are through with the step and what follows it soon, or they leave it to soak meanwhile.
  bool leaves_time(const plan::Step& step, const Task& task, const End& other) const {
    return seconds(step, task) <= other.free_s() || fits_while_it_soaks(step, task);
  }

  /// Hands are free while it soaks: each latest end in its turn, and with time to spare also that of what follows.
  bool fits_while_it_soaks(const plan::Step& step, const Task& task) const {
    struct Due {
      double from, latest, takes;
    };
    std::vector<Due> all;
    for (const plan::Wait& wait : plan_.waits) {
      const auto* next = wait.from.step == step.id && wait.max && *wait.max <= kSoonAfter ? find_step(plan_, wait.to.step) : nullptr;
      if (!next) continue;
      if (wait.min.seconds <= 0) return false;  // the hands go on at once
      const double own = wait.from.edge == plan::Edge::end ? hands(step, task) + static_cast<double>(step.timing.unattended.seconds) : 0;
      const double spare = plan::time_to_spare(Seconds(static_cast<double>((*wait.max - wait.min).seconds))).value;
      all.push_back({kSlower * own + static_cast<double>(wait.min.seconds), own + static_cast<double>(wait.max->seconds) - spare, kSlower * hands(*next, task)});
    }
    if (all.empty()) return false;
    for (const End& end : ends_)
      if (end.task.step != task.step || !shares(end.task.units, task.units))
        all.push_back({end.task.ready_in_s.value_or(0), end.free_s(), kSlower * hands(*find_step(plan_, end.task.step), end.task)});
    std::sort(all.begin(), all.end(), [](const Due& a, const Due& b) { return a.latest < b.latest; });
    double busy = kSlower * hands(step, task);
    for (const Due& due : all) {
      const double begin = std::max(busy, due.from);
      if (begin > due.latest) return false;
      busy = begin + due.takes;
    }
    return true;
  }

  static constexpr double kSlower = 1.25;  ///< [practice]
  static constexpr Duration kSoonAfter = handlot::minutes(30);  ///< [practice]
  const plan::Plan& plan_;
  const State& state_;
  const Moment now_;
  std::vector<End> ends_;  ///< soonest first
  std::vector<End> clocks_;
  std::vector<Task> late_first_;
  std::vector<Lost> dried_;
  std::vector<StepId> closed_;  ///< steps that would be done for good on what has dried
  std::optional<Task> late_;
  Follow follow_;
};

/// Steps that hands are at, or that run by themselves: one line each, with their units.
void half_done(const plan::Plan& plan, const State& state, Resume& card) {
  for (const auto& step : plan.work.steps)
    for (const Stand stand : {Stand::started, Stand::running}) {
      std::vector<int> units;
      for (const auto& [key, cell] : state.cells)
        if (key.first == step.id && cell.stand == stand && (key.second == 0 || state.in_lot(key.second)))
          units.push_back(key.second);
      if (units.empty()) continue;
      card.look_at.push_back(fmt::format("{}: step {} ({}) {}", units_text(units, state.lot), step.number,
                                         step.title,
                                         stand == Stand::started ? "is half done" : "runs by itself"));
    }
}

/// By its id where the job has it no more.
std::string resource_name(const plan::Plan& plan, const std::string& id) {
  const plan::Resource* r = plan::find_resource(plan.work, ResourceId(id));
  return r == nullptr || r->name.empty() ? id : r->name;
}

}  // namespace

bool is_of_run(const Timer& timer) { return timer.to.empty() && timer.id.rfind("run.", 0) == 0; }

std::string units_text(const std::vector<int>& units, int lot) {
  if (units.empty()) return "no unit";
  if (units.size() == 1) return units[0] == 0 ? "whole lot" : fmt::format("unit {}", units[0]);
  if (lot > 1 && static_cast<int>(units.size()) == lot) return lot == 2 ? "both units" : fmt::format("all {} units", lot);
  return "units " + list(units);
}

namespace {

/// With fewer units where there are places for some of them only.
void keep_places(const plan::Plan& plan, const State& state, std::span<const Timer> clocks, const Chooser& chooser, Task& task, const Moment& now) {
  task.better_later = chooser.too_early(task);
  task.in_vain = !task.better_later.empty() && chooser.in_vain(task);
  if (task.better_later.empty()) task.better_later = chooser.air_against(task);
  if (!task.better_later.empty()) return;
  const auto* step = find_step(plan, task.step);
  Task fewer = task;
  while (!fewer.units.empty()) {
    auto why = no_place_left(plan, state, clocks, *step, fewer.units, now);
    if (why.empty()) {
      task = std::move(fewer);
      return;
    }
    if (task.better_later.empty()) task.better_later = std::move(why);
    fewer.units.pop_back();
  }
}

}  // namespace

namespace {

bool same(const Task& a, const Task& b) { return a.step == b.step && a.units == b.units; }

/// The timer of a run that was cut goes on, and must not ask for a tick.
void name_cuts(View& view) {
  for (Timer& timer : view.waiting)
    if (is_of_run(timer) && std::any_of(timer.units.begin(), timer.units.end(), [&](int n) { return is_cut(view.cut, timer.from, n); }))
      timer.then = "its run was cut short: look, then do it again or scrap the unit";
}

}  // namespace

View look(const plan::Plan& plan, const State& state, const Moment& now) {
  View view;
  view.waiting = timers(plan, state, now);
  count(plan, state, view);
  const auto all = turns(plan, state);
  view.cut = cut_runs(plan, state);
  name_cuts(view);
  view.now = in_hand(plan, state, all, Follow(plan, state, now, view.waiting), now, view.next);
  const std::vector<Task> half_done_of_others = view.next;
  Chooser chooser(plan, state, now, view.waiting);
  view.lost = chooser.lost(view.waiting);
  view.dried = chooser.dried();
  if (const auto ended = view.now ? std::nullopt : ended_run(state, all, view, now)) {
    view.now = chooser.outranks(*ended);
    if (!view.now) view.now = ended->task;
  }
  if (!view.now) view.now = chooser.late();
  for (const Turn& turn : all) {
    if (view.next.size() >= kNext && view.now) break;
    const auto left = left_over(state, turn);
    if (left.empty()) continue;
    Task task = task_of(plan, state, *turn.step, left, now);
    if (task.units.empty() || (view.now && same(task, *view.now)) || std::any_of(half_done_of_others.begin(), half_done_of_others.end(), [&](const Task& t) { return same(task, t); }))
      continue;
    std::optional<Task> taken;
    if (task.ready && !task.in_hand) keep_places(plan, state, view.waiting, chooser, task, now);
    if (!view.now) taken = chooser.taken(task);
    if (taken)
      view.now = std::move(taken);
    else
      view.next.push_back(std::move(task));
  }
  if (!view.now) view.now = chooser.second_best(view);
  if (!view.now) view.now = chooser.let_go(view);
  if (view.next.size() > kNext) view.next.resize(kNext);
  view.finished = view.all > 0 && view.done == view.all;
  return view;
}

std::optional<Resume> resume_card(const plan::Plan& plan, const State& state, const Moment& now) {
  if (!state.last) return std::nullopt;
  const Moment then{state.last->seq, state.last->at.ran_ms, state.last->at.wall_ms};
  const double away = elapsed(then, now, state.gaps).most_s;
  if (!state.paused && away < kBreakSeconds) return std::nullopt;
  Resume card;
  card.away_s = away;
  card.last = in_words(plan, *state.last);
  for (Timer& timer : timers(plan, state, now)) {
    const bool ended = timer.phase == Phase::late || (timer.phase == Phase::ready && timer.min_s > 0);
    if (timer.phase == Phase::late)
      card.look_at.push_back(
          fmt::format("{}: {}", timer.what, timer.if_late.empty() ? "too late" : timer.if_late));
    (ended ? card.ended : card.clocking).push_back(std::move(timer));
  }
  half_done(plan, state, card);
  return card;
}

std::string in_words(const plan::Plan& plan, const Event& line) {
  const auto* step = find_step(plan, line.step);
  const auto* check = step ? find_check(*step, line.item) : nullptr;
  const std::string at = step                ? fmt::format("step {} ({})", step->number, step->title)
                         : line.step.empty() ? ""
                                             : "step '" + line.step.text + "'";
  const std::string who = units_text({line.unit});
  const std::string kept =
      may_be_kept(line.kind) && line.value
          ? fmt::format(", touched {} before it came in", in_words(Duration(std::llround(*line.value))))
          : "";
  const std::string instead = stands_in(line) ? ", in place and at the time of a line struck through" : "";
  const std::string why = kept + instead + (line.text.empty() ? "" : ": " + line.text);
  const auto then = asked(line) ? asked(line) : check ? std::optional(asked(*check)) : std::nullopt;
  const std::string what = then ? then->what : line.item;
  switch (line.kind) {
    case Kind::start:
      return fmt::format("{}: {} begun{}", who, at, why);
    case Kind::leave:
      return fmt::format("{}: {} left to run by itself{}", who, at, why);
    case Kind::done:
      return fmt::format("{}: {} done{}", who, at, why);
    case Kind::tick:
      return fmt::format("{}: {}, {}: seen{}", who, at, what, instead);
    case Kind::value:
      return fmt::format("{}: {}, {}: {} {}{}", who, at, what, number(line.value.value_or(0), 6),
                         then ? then->unit : "", instead);
    case Kind::photo:
      return fmt::format("{}: {}, photo", who, at);
    case Kind::note:
      return fmt::format("{}{}: note{}", who, at.empty() ? "" : ", " + at, why);
    case Kind::scrap:
      return fmt::format("{} scrapped{}{}", who, at.empty() ? "" : " at " + at, why);
    case Kind::rework:
      return fmt::format("{}: {} to be done again{}", who, at, why);
    case Kind::lot_opened:
      return fmt::format("{}: lot {} opened", line.item, line.text);
    case Kind::lot_used:
      return fmt::format("{}: {} of lot {} used, {}", line.item, number(line.value.value_or(0)), line.text,
                         who);
    case Kind::correction:
      return fmt::format("{}{}", line.item == "undo" ? "undone" : "line struck through", why);
    case Kind::heard:
      return line.value.value_or(0) > 0
                 ? fmt::format("alarm put off for {}",
                               in_words(Duration(static_cast<std::int64_t>(*line.value))))
                 : "alarm stopped";
    case Kind::pause:
      return "left the bench" + why;
    case Kind::resume:
      return "back at the bench";
    case Kind::plan:
      return fmt::format("plan {} {} holds for {}", line.item, line.text, who);
    case Kind::clock:
      return fmt::format("the clock moved by {} more than was seen to go by",
                         in_words(Duration(static_cast<std::int64_t>(line.value.value_or(0)))));
    case Kind::settled:
      return fmt::format("the time nobody saw was {}",
                         in_words(Duration(static_cast<std::int64_t>(line.value.value_or(0)))));
    case Kind::times:
      return fmt::format("{} is planned with {} a unit", at,
                         in_words(Duration(std::llround(line.value.value_or(0)))));
    case Kind::away:
      return fmt::format("{} is not to be had for {}{}", resource_name(plan, line.item),
                         in_words(Duration(static_cast<std::int64_t>(line.value.value_or(0)))), why);
  }
  return "";
}

}  // namespace handlot::record
