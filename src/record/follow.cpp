#include "record/follow.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/text.h"
#include "plan/spare.h"
#include "record/admit.h"
#include "record/places.h"
#include "record/presence.h"
#include "record/times.h"

namespace handlot::record {
namespace {

std::string name_of(const plan::Step& step) { return fmt::format("step {} ({})", step.number, step.title); }

/// Who may do the step, at least one.
std::size_t persons(const plan::Plan& plan, const plan::Step& step) {
  if (!step.timing.people.empty()) return step.timing.people.size();
  const auto& all = plan.work.resources;
  const auto count = std::count_if(all.begin(), all.end(), [](const plan::Resource& r) { return r.kind == plan::Resource::Kind::person; });
  return static_cast<std::size_t>(std::max<std::ptrdiff_t>(1, count));
}

/// Open seconds between two moments, counted from `now`.
double open_s(const std::vector<plan::Interval>& hours, double now, double from_s, double to_s) {
  double sum = 0;
  for (const plan::Interval& open : hours)
    sum += std::max(0.0, std::min(to_s, static_cast<double>(open.close.seconds) - now) - std::max(from_s, static_cast<double>(open.open.seconds) - now));
  return sum;
}

}  // namespace

/// Longer windows outlast a night, and are for the plan.
constexpr Duration kOfADay = handlot::hours(24);

/// One way through what must follow, in seconds from now: every unit through a step before the next begins, all people at
/// it. No order of the hands is quicker for the last unit.
struct Follow::Run {
  const Follow& of;
  const StepId& first;
  const std::vector<int>& units;
  const double begin_s;
  const bool in_hours;
  const double spare_s;  ///< of each day, before the shop shuts
  std::map<StepId, std::pair<double, double>> known{};  ///< begin of the last unit, end

  std::size_t count(const plan::Step& step) const {
    if (step.timing.whole_lot) return 1;
    return units.front() == 0 ? std::max<std::size_t>(1, of.state_.good_units().size()) : units.size();
  }

  std::pair<double, double> times(const plan::Step& step) {
    if (const auto there = known.find(step.id); there != known.end()) return there->second;
    known[step.id] = {begin_s, begin_s};  // a ring of links: whatever came first
    const bool own = step.id == first;
    const double from = own ? begin_s : ready(step);
    const auto [begin, free] = own ? std::pair(from, from + of.hands_s(step, count(step))) : in_turn(step, from);
    return known[step.id] = {begin, free + static_cast<double>(step.timing.unattended.seconds)};
  }

  /// One unit for each person at a time; the shop may shut between two.
  std::pair<double, double> in_turn(const plan::Step& step, double from) const {
    const std::size_t turns = step.timing.run_per_unit ? (count(step) + persons(of.plan_, step) - 1) / persons(of.plan_, step) : 1;
    const double one = of.hands_s(step, 1), each = of.hands_s(step, 2) - one;
    const auto work = [&](double at, double hands) { return in_hours ? of.work(step, at, hands, spare_s) : at + hands; };
    double free = work(from, one);
    const double begin = std::max(from, free - one);
    for (std::size_t i = 1; i < turns; ++i) free = work(free, each);
    return {begin, free};
  }

  double ready(const plan::Step& step) {
    const int unit = step.timing.whole_lot ? 0 : units.front();
    double from = std::max(begin_s, of.runs_until_s(step, unit));
    for (const auto& link : of.plan_.work.constraints) {
      const auto* before = link.to.step == step.id && link.to.edge == plan::Edge::start ? find_step(of.plan_, link.from.step) : nullptr;
      if (!before || before->id == step.id || (before->id != first && (is_done(of.state_, *before, unit) || !of.leads_to(first, before->id)))) continue;
      const auto [begin, end] = times(*before);
      from = std::max(from, (link.from.edge == plan::Edge::start ? begin : end) + static_cast<double>(std::max<std::int64_t>(0, link.min.seconds)));
    }
    return from;
  }
};

std::string Follow::too_early(const StepId& id, const std::vector<int>& units, What what) const {
  const auto* step = find_step(plan_, id);
  if (!step || units.empty()) return "";
  if (auto why = shuts_first(*step, units.size()); !why.empty()) return why;
  if (auto why = in_vain(id, units); !why.empty()) return why;
  for (const plan::Wait& wait : plan_.waits) {
    if (wait.from.step != id || !wait.max) continue;
    if (auto why = cannot_follow(wait, *step, units, what); !why.empty()) return why;
  }
  return "";
}

/// A step that must follow in time cannot: within two hours [practice] whatever it waits for counts as too long, for
/// longer windows only what takes longer by itself, such as a bake that runs until tomorrow.
std::string Follow::cannot_follow(const plan::Wait& wait, const plan::Step& step, const std::vector<int>& units, What what) const {
  const auto* next = find_step(plan_, wait.to.step);
  if (!next) return "";
  const int unit = next->timing.whole_lot ? 0 : units.front();
  if (is_done(state_, *next, unit)) return "";
  const double own = wait.from.edge == plan::Edge::end ? hands_s(step, step.timing.whole_lot ? 1 : units.size()) + static_cast<double>(step.timing.unattended.seconds) : 0;
  auto against = obstacles(plan_, state_, *next, unit, plan::Edge::start, now_);
  std::stable_partition(against.begin(), against.end(), [](const Obstacle& o) { return o.kind == Obstacle::Kind::place && o.other.empty(); });  // what is away is the cause
  for (const Obstacle& o : against) {
    const bool first = o.kind == Obstacle::Kind::first;
    const bool order = first || (o.kind == Obstacle::Kind::order && o.other != step.id && !leads_to(step.id, o.other));
    if (!order && !passes_by_itself(o)) continue;
    if ((order && what == What::likely && *wait.max <= handlot::hours(2)) || soonest_s(*next, unit, step.id) > static_cast<double>(wait.max->seconds) + own)
      return fmt::format("{} must follow within {}, and cannot yet: {}", name_of(*next), handlot::in_words(*wait.max), o.text);
  }
  return *wait.max > kOfADay ? "" : hands_cannot(wait, step, units);
}

/// With time to spare, now or when the shop opens again; where it fits with none at any time, to the minute.
std::string Follow::hands_cannot(const plan::Wait& wait, const plan::Step& step, const std::vector<int>& units) const {
  const plan::Step& next = *find_step(plan_, wait.to.step);
  const bool few = &hours_of(next) != &plan_.work.hours;
  const auto later = next_openings_s(step, next);
  for (const double spare : {plan::time_to_spare(Seconds(static_cast<double>((*wait.max - wait.min).seconds))).value, 0.0}) {
    if (fits(wait, step, units, 0, true, spare)) return "";
    if (std::none_of(later.begin(), later.end(), [&](double begin) { return fits(wait, step, units, begin, true, spare); })) continue;
    const bool barely = spare > 0 && fits(wait, step, units, 0, true, 0);
    return fmt::format("{} must {} within {}, and the hands {} {}", name_of(next), wait.to.edge == plan::Edge::end ? "be done" : "follow",
                       handlot::in_words(*wait.max), barely ? "have no time to spare for it" : "do not get through it",
                       !fits(wait, step, units, 0, false, spare) ? "in time from now" : few ? "in the hours of " + who_may(plan_, next) : "before the shop shuts");
  }
  return "";
}

bool Follow::fits(const plan::Wait& wait, const plan::Step& step, const std::vector<int>& units, double begin_s, bool in_hours, double spare_s) const {
  Run run{*this, step.id, units, begin_s, in_hours, spare_s};
  const auto [begin, end] = run.times(step);
  const auto [next_begin, next_end] = run.times(*find_step(plan_, wait.to.step));
  const double from = wait.from.edge == plan::Edge::start ? begin_s : end;
  return (wait.to.edge == plan::Edge::start ? next_begin : next_end) <= from + static_cast<double>(wait.max->seconds) - spare_s;
}

/// Those of the shop, but where only somebody with hours of their own, or reported away, may do it.
const std::vector<plan::Interval>& Follow::hours_of(const plan::Step& step) const {
  auto known = own_hours_.find(step.id);
  if (known == own_hours_.end()) known = own_hours_.emplace(step.id, own_hours(plan_, state_, step, now_)).first;
  return known->second ? *known->second : plan_.work.hours;
}

/// When hands that are free from `from_s` on have worked so long, inside the hours of the step. Past the last known hours nobody
/// knows when it is shut, and before the first, in a lot that is begun sooner than planned, neither.
double Follow::work(const plan::Step& step, double from_s, double hands_s, double spare_s) const {
  const double now = static_cast<double>(now_.wall_ms) / 1000;
  const bool may_pause = step.timing.may_pause;
  double left = hands_s;
  const auto& shop = plan_.work.hours;
  if (!shop.empty() && from_s + now < static_cast<double>(shop.front().open.seconds)) return from_s + left;
  for (const plan::Interval& open : hours_of(step)) {
    const double close_s = static_cast<double>(open.close.seconds) - now - spare_s;
    const double begin = std::max(from_s, static_cast<double>(open.open.seconds) - now);
    if (begin >= close_s) continue;
    if (begin + left <= close_s) return begin + left;
    if (may_pause) left -= close_s - begin;
  }
  return from_s + left;
}

Follow::Left Follow::left(const plan::Step& step, std::size_t units, double ready_in_s, double until_late_s, double window_s) const {
  const auto& hours = hours_of(step);
  const double now = static_cast<double>(now_.wall_ms) / 1000, hands = step.timing.may_pause ? 0 : hands_s(step, units);
  const bool known = open_s(hours, now, 0, 1) > 0 && until_late_s + now <= static_cast<double>(hours.back().close.seconds);
  double last = -1;
  for (const plan::Interval& open : hours) {
    const double begin = std::min(until_late_s, static_cast<double>(open.close.seconds) - now - hands);
    if (begin >= static_cast<double>(open.open.seconds) - now) last = std::max(last, begin);
  }
  if (!known || last < ready_in_s) return {until_late_s, window_s, false};
  return {open_s(hours, now, 0, last), open_s(hours, now, until_late_s - window_s, until_late_s), true};
}

/// From now until these hours begin next, and the times after; none where that is not known, or they never end.
std::vector<double> Follow::next_openings_s(const std::vector<plan::Interval>& hours) const {
  constexpr std::size_t kMost = 16;
  const std::int64_t now = now_.wall_ms / 1000;
  std::vector<double> out;
  for (const plan::Interval& open : hours)
    if (open.open.seconds > now && out.size() < kMost) out.push_back(static_cast<double>(open.open.seconds - now));
  return out;
}

/// Of the shop, and when those come who alone may do the one or the other.
std::vector<double> Follow::next_openings_s(const plan::Step& step, const plan::Step& next) const {
  auto out = next_openings_s(plan_.work.hours);
  for (const plan::Step* one : {&step, &next}) {
    if (&hours_of(*one) == &plan_.work.hours) continue;
    const auto own = next_openings_s(hours_of(*one));
    out.insert(out.end(), own.begin(), own.end());
  }
  return out;
}

bool Follow::leads_to(const StepId& from, const StepId& to) const {
  auto known = behind_.find(from);
  if (known == behind_.end()) known = behind_.emplace(from, behind(plan_, from)).first;
  return std::find(known->second.begin(), known->second.end(), to) != known->second.end();
}

bool Follow::can_wait(const StepId& id, const std::vector<int>& units, double until_late_s) const {
  const auto* step = find_step(plan_, id);
  const auto later = next_openings_s(hours_of(*step));
  if (later.empty()) return until_late_s > static_cast<double>(kOfADay.seconds);
  return later.front() + hands_s(*step, units.size()) <= until_late_s;
}

std::optional<double> Follow::shuts_before(const plan::Step& step, std::size_t units) const {
  const double now = static_cast<double>(now_.wall_ms) / 1000;
  if (step.timing.may_pause) return std::nullopt;
  for (const plan::Interval& open : hours_of(step)) {
    const double left = static_cast<double>(open.close.seconds) - now;
    if (static_cast<double>(open.open.seconds) <= now && left > 0 && left < hands_s(step, units)) return left;
  }
  return std::nullopt;
}

std::string Follow::what_shuts(const plan::Step& step) const {
  const Instant now(now_.wall_ms / 1000);
  const auto end_of = [&](const std::vector<plan::Interval>& hours) {
    const auto open = std::find_if(hours.begin(), hours.end(), [&](const plan::Interval& i) { return i.open <= now && now < i.close; });
    return open == hours.end() ? Instant() : open->close;
  };
  return end_of(hours_of(step)) == end_of(plan_.work.hours) ? "the shop shuts" : who_may(plan_, step) + " leaves";
}

bool Follow::follower_is_absent(const StepId& step) const {
  return std::any_of(plan_.waits.begin(), plan_.waits.end(), [&](const plan::Wait& wait) {
    const auto* next = wait.from.step == step && wait.max ? find_step(plan_, wait.to.step) : nullptr;
    return next && absent(plan_, state_, *next, now_);
  });
}

const std::vector<Timer>& Follow::clocks() const {
  if (!clocks_) clocks_ = timers(plan_, state_, now_);
  return *clocks_;
}

/// A clock runs already, and the step at its end lies behind this one and needs what, or whom, is away for longer: parts set into
/// paste that no oven melts in time are lost with it.
std::string Follow::in_vain(const StepId& step, const std::vector<int>& units) const {
  const auto& all = plan_.work.resources;
  const bool any = std::any_of(all.begin(), all.end(), [](const plan::Resource& r) { return !r.away.empty(); });
  if (!any && missing(plan_, state_, now_).empty()) return "";
  for (const Timer& clock : clocks()) {
    const bool ours = clock.units.front() == 0 || units.front() == 0 || std::find(clock.units.begin(), clock.units.end(), units.front()) != clock.units.end();
    if (!ours || clock.to.empty() || !leads_to(step, clock.to)) continue;
    if (auto why = lost(clock, units.front()); !why.empty()) return why;
  }
  return "";
}

std::string Follow::lost(const Timer& clock, int unit) const {
  const auto* end = clock.until_late_s.value_or(-1) < 0 ? nullptr : find_step(plan_, clock.to);
  if (!end) return "";
  auto away = no_place(plan_, state_, *end, end->timing.whole_lot ? 0 : unit, now_);
  if (const auto gone = absent(plan_, state_, *end, now_)) away.push_back({{}, gone->text, gone->wait_s});
  for (const NoPlace& gone : away) {
    if (!gone.by.empty() || opens_s(*end, gone.wait_s) <= *clock.until_late_s) continue;
    const bool shut = gone.wait_s <= *clock.until_late_s;
    return fmt::format("{} cannot come in time, {}{}{}", name_of(*end), gone.text, shut ? ", and there are no hands for it then" : "", clock.if_late.empty() ? "" : ": " + clock.if_late);
  }
  return "";
}

/// From `from_s` on hands can begin the step so long from now. Nobody knows where that is not within the known hours.
double Follow::opens_s(const plan::Step& step, double from_s) const {
  const double hands = step.timing.may_pause ? 0 : hands_s(step, 1), now = static_cast<double>(now_.wall_ms) / 1000;
  const bool open = open_s(hours_of(step), now, 0, 1) > 0;  // whoever is there while it is shut stays
  return !open || (step.timing.setup.seconds == 0 && !step.timing.hands_on) ? from_s : std::max(from_s, work(step, from_s, hands) - hands);
}

/// Hands that must not stop after it do not begin what they cannot end today, where another day has the time.
std::string Follow::shuts_first(const plan::Step& step, std::size_t units) const {
  const std::size_t fewest = step.timing.run_per_unit ? 1 : units;
  const auto left = step.safe_to_stop ? std::nullopt : shuts_before(step, fewest);
  if (!left) return "";
  const double takes = hands_s(step, fewest);
  const auto later = next_openings_s(hours_of(step));
  if (std::none_of(later.begin(), later.end(), [&](double begin) { return work(step, begin, takes) <= begin + takes; })) return "";
  return fmt::format("{} in {}, it takes {}, and nobody should stop after it{}", what_shuts(step), handlot::in_words(Duration(std::llround(*left))),
                     handlot::in_words(Duration(std::llround(takes))), step.stop_note.empty() ? "" : ": " + step.stop_note);
}

double Follow::soonest_s(const plan::Step& step, int unit, const StepId& without) const {
  const auto [known, fresh] = soonest_.emplace(std::tuple(step.id, unit, without), 0);
  if (!fresh) return known->second;
  double most = 0;
  for (const Obstacle& o : obstacles(plan_, state_, step, unit, plan::Edge::start, now_)) {
    if (passes_by_itself(o)) most = std::max(most, o.wait_s);
    if (o.kind != Obstacle::Kind::order || o.other == without || leads_to(without, o.other)) continue;
    if (const auto* other = find_step(plan_, o.other)) most = std::max(most, done_in_s(*other, unit, without) + wait_between(*other, step));
  }
  return known->second = most;
}

/// What runs by itself before this step lasts so long from now; what nobody has begun is for the hands.
double Follow::runs_until_s(const plan::Step& step, int unit) const {
  const auto [known, fresh] = runs_until_.emplace(std::pair(step.id, unit), 0);
  if (!fresh) return known->second;
  double most = 0;
  for (const Obstacle& o : obstacles(plan_, state_, step, unit, plan::Edge::start, now_)) {
    if (passes_by_itself(o)) most = std::max(most, o.wait_s);
    const auto* other = o.kind == Obstacle::Kind::order ? find_step(plan_, o.other) : nullptr;
    if (!other) continue;
    const Cell* cell = cell_of(state_, *other, other->timing.whole_lot ? 0 : unit);
    if (cell && cell->stand == Stand::running) most = std::max(most, done_in_s(*other, unit, {}) + wait_between(*other, step));
  }
  return known->second = most;
}

/// The shop has just opened, for as long as it will within a week: what fits now no better will not do so any other day.
bool Follow::no_better_opening() const {
  constexpr std::int64_t kJust = 30 * 60, kWeek = 7 * 24 * 3600;
  const std::int64_t now = now_.wall_ms / 1000;
  std::int64_t span = 0, longest = 0;
  for (const plan::Interval& open : plan_.work.hours) {
    const std::int64_t from = open.open.seconds, to = open.close.seconds;
    if (from <= now && now < from + kJust) span = to - from;
    if (from > now && from < now + kWeek) longest = std::max(longest, to - from);
  }
  return span > 0 && span >= longest;
}

double Follow::done_in_s(const plan::Step& step, int unit, const StepId& without) const {
  if (step.timing.whole_lot) unit = 0;
  else if (unit == 0) unit = state_.good_units().empty() ? 0 : state_.good_units().front();
  if (is_done(state_, step, unit)) return 0;
  const auto alone = static_cast<double>(step.timing.unattended.seconds);
  const Cell* cell = cell_of(state_, step, unit);
  if (cell && cell->stand == Stand::running && cell->leave)
    return std::max(0.0, alone - elapsed(*cell->leave, now_, state_.gaps).least_s);
  if (cell && cell->stand == Stand::started) return alone;
  return soonest_s(step, unit, without) + unprepared_s(step) + static_cast<double>(step.timing.run.seconds) + alone;
}

/// The set-up, until a first unit is at it; after that nobody knows whether the next comes with it.
double Follow::unprepared_s(const plan::Step& step) const {
  for (auto at = state_.cells.lower_bound({step.id, 0}); at != state_.cells.end() && at->first.first == step.id; ++at)
    if (at->second.start || at->second.passes > 0) return 0;
  return static_cast<double>(step.timing.setup.seconds);
}

double Follow::wait_between(const plan::Step& from, const plan::Step& to) const {
  double most = 0;
  for (const plan::Constraint& link : plan_.work.constraints)
    if (link.from.step == from.id && link.to.step == to.id && link.from.edge == plan::Edge::end && link.to.edge == plan::Edge::start)
      most = std::max(most, static_cast<double>(link.min.seconds));
  return most;
}

/// As agreed; else as planned, or as these hands have been measured where they are slower.
double Follow::run_s(const plan::Step& step) const {
  if (const auto agreed = state_.agreed_s.find(step.id); agreed != state_.agreed_s.end()) return agreed->second;
  if (!measured_s_) {
    measured_s_.emplace();
    for (const StepTimes& times : step_times(plan_, state_))
      if (times.suggested_s) measured_s_->emplace(times.step, *times.suggested_s);
  }
  const auto measured = measured_s_->find(step.id);
  return std::max(static_cast<double>(step.timing.run.seconds), measured == measured_s_->end() ? 0 : measured->second);
}

double Follow::hands_s(const plan::Step& step, std::size_t units) const {
  const double run = run_s(step);
  const double times = step.timing.run_per_unit && !step.timing.whole_lot ? static_cast<double>(units) : 1;
  return static_cast<double>(step.timing.setup.seconds) + (step.timing.hands_on ? run * times : 0);
}

}  // namespace handlot::record
