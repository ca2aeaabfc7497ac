#include "record/places.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "calendar/zone.h"
#include "core/text.h"
#include "plan/find.h"
#include "plan/units.h"
#include "record/look.h"

namespace handlot::record {
namespace {

/// What a unit, or the whole lot, takes of a place, and what makes it free again.
struct Held {
  const plan::Step* by;
  int unit = 0;
  int shares = 1;  ///< units that still hold theirs
  int count = 1;
  bool loading = false;             ///< hands are at it
  bool joined = false;              ///< others may still come to it
  std::optional<double> free_in_s{};  ///< by itself
  bool over = false;                ///< has run its time, and nobody took it out
  const plan::Step* until = nullptr;
  Moment begun{};
};

constexpr double kLoadingSeconds = 15 * 60;  ///< [practice]

bool begun_since(const State& state, const plan::Step& step, int unit, const Moment& done) {
  const Cell* cell = cell_of(state, step, unit);
  return cell && (cell->start || (cell->last_done && cell->last_done->seq > done.seq));
}

/// The operation of the plan that takes this unit, or the whole lot, through the step; none: nullptr.
const plan::Operation* planned(const plan::Plan& plan, const StepId& step, int unit) {
  const auto& all = plan.schedule.operations;
  const auto op = std::find_if(all.begin(), all.end(), [&](const plan::Operation& o) { return o.step == step && (unit == 0 || plan::takes(o, unit)); });
  return op == all.end() ? nullptr : &*op;
}

class Place {
 public:
  Place(const plan::Plan& plan, const State& state, const plan::Resource& resource, const plan::Step& step, int unit, const Moment& now)
      : plan_(plan), state_(state), resource_(resource), step_(step), unit_(unit), now_(now) {
    for (const plan::Step& other : plan.work.steps)
      for (const plan::Use& use : other.timing.uses)
        if (use.resource == resource.id) hold(other, use);
  }

  bool each(const plan::Use& use) const { return use.per_unit || resource_.together; }

  int need(const plan::Use& use) const {
    if (!each(use)) return joins() ? 0 : use.count;
    return use.count * (step_.timing.whole_lot ? lot() : 1);
  }

  int in_use() const {
    int sum = 0;
    for (const Held& h : held_) sum += h.count;
    return sum;
  }

  int in_use_after(double seconds) const {
    int sum = 0;
    for (const Held& h : held_) sum += h.free_in_s && *h.free_in_s <= seconds ? 0 : h.count;
    return sum;
  }

  /// A run that others share has begun without this unit.
  bool shut() const {
    return resource_.together && std::any_of(held_.begin(), held_.end(), [](const Held& h) { return !h.joined; });
  }

  bool is_full(const plan::Use& use) const {
    const int wants = need(use);
    return !held_.empty() && wants > 0 && (shut() || in_use() + wants > resource_.capacity);
  }

  NoPlace why(const plan::Use& use) const {
    const double wait = free_in_s(need(use));
    const std::string until = wait > 0 ? " until " + clock_in(plan_, now_, wait) : "";
    const std::string head = resource_.capacity == 1 || shut()
                                 ? fmt::format("{} is in use{}", resource_.name, until)
                                 : fmt::format("{}: {} of {} free{}", resource_.name, std::max(0, resource_.capacity - in_use()), resource_.capacity, until);
    return {held_.front().by->id, fmt::format("{}: {}", head, holders()), wait};
  }

 private:
  int lot() const { return static_cast<int>(std::max<std::size_t>(1, state_.good_units().size())); }

  void hold(const plan::Step& by, const plan::Use& use) {
    for (auto at = state_.cells.lower_bound({by.id, 0}); at != state_.cells.end() && at->first.first == by.id; ++at) {
      const int unit = at->first.second;
      if (unit != 0 && !state_.in_lot(unit)) continue;
      auto held = held_by(by, use, unit, at->second);
      if (!held) continue;
      held->begun = at->second.start.value_or(Moment{});
      held->joined = held->loading || begins_with(*held, at->second);
      held->count = use.count * (each(use) ? held->shares : 1);
      if (each(use) || !shared(*held)) held_.push_back(*held);
    }
  }

  std::optional<Held> held_by(const plan::Step& by, const plan::Use& use, int unit, const Cell& cell) const {
    Held out{&by, unit, unit == 0 ? lot() : 1};
    if (cell.stand == Stand::started) {
      out.loading = true;
      return out;
    }
    if (cell.stand == Stand::running && cell.leave) {
      const double left = static_cast<double>(by.timing.unattended.seconds) - elapsed(*cell.leave, now_, state_.gaps).least_s;
      if (left > 0) out.free_in_s = left;
      out.over = left <= 0;
      return out;
    }
    return cell.stand == Stand::done && cell.done ? over_a_cure(out, use, *cell.done) : std::nullopt;
  }

  /// The step that takes it off has it from the same unit.
  std::optional<Held> over_a_cure(Held out, const plan::Use& use, const Moment& done) const {
    const double left = static_cast<double>(use.hold_after_end.seconds) - elapsed(done, now_, state_.gaps).least_s;
    if (const auto* until = use.until_start_of ? find_step(plan_, *use.until_start_of) : nullptr) {
      if (until->id == step_.id && (unit_ == 0 || out.unit == 0 || unit_ == out.unit)) return std::nullopt;
      const auto units = out.unit == 0 ? state_.good_units() : std::vector<int>{out.unit};
      const auto wait = std::count_if(units.begin(), units.end(), [&](int n) { return !begun_since(state_, *until, n, done); });
      if (wait > 0) {
        out.until = until;
        out.shares = static_cast<int>(wait);
        return out;
      }
    }
    if (left <= 0) return std::nullopt;
    out.free_in_s = left;
    return out;
  }

  /// Units that went through the step with one touch, or that the plan takes through it together, have one between them.
  bool shared(const Held& share) {
    for (Held& there : held_) {
      if (there.by != share.by || !one_batch(there, share.unit, share.begun)) continue;
      there.loading = there.loading && share.loading;
      if (!share.free_in_s || !there.free_in_s)
        there.free_in_s.reset();
      else
        there.free_in_s = std::max(*there.free_in_s, *share.free_in_s);
      return true;
    }
    return false;
  }

  /// The plan begins two steps at one time: hands load one after the other.
  bool begins_with(const Held& held, const Cell& cell) const {
    if (held.by->id == step_.id || !cell.leave || elapsed(*cell.leave, now_, state_.gaps).most_s > kLoadingSeconds) return false;
    const auto* there = planned(plan_, held.by->id, held.unit);
    const auto* here = planned(plan_, step_.id, unit_);
    return there && here && there->start == here->start;
  }

  bool one_batch(const Held& held, int unit, const Moment& begun) const {
    const auto* op = planned(plan_, held.by->id, unit);
    return touched_ms(held.begun) == touched_ms(begun) || (op && op == planned(plan_, held.by->id, held.unit));
  }

  /// The unit goes into a jig that its own batch has, before that runs.
  bool joins() const {
    return std::any_of(held_.begin(), held_.end(), [&](const Held& held) {
      return held.by->id == step_.id && (held.loading || step_.timing.unattended.seconds == 0) && one_batch(held, unit_, now_);
    });
  }

  double free_in_s(int wants) const {
    std::vector<std::pair<double, int>> ends;
    for (const Held& h : held_)
      if (h.free_in_s) ends.emplace_back(*h.free_in_s, h.count);
    std::sort(ends.begin(), ends.end());
    if (shut()) return ends.size() == held_.size() ? ends.back().first : 0;
    int taken = in_use();
    for (const auto& [at, count] : ends) {
      taken -= count;
      if (taken + wants <= resource_.capacity) return at;
    }
    return 0;
  }

  /// "step 80 (Pot the coil), units 1 to 3".
  std::string holders() const {
    std::vector<std::string> out;
    for (const plan::Step& by : plan_.work.steps) {
      std::vector<int> units;
      const Held* one = nullptr;
      for (const Held& h : held_)
        if (h.by == &by) {
          units.push_back(h.unit);
          if (!one || h.over || h.until) one = &h;
        }
      if (!one) continue;
      std::sort(units.begin(), units.end());
      std::string text = fmt::format("step {} ({}), {}", by.number, by.title, units_text(units, state_.lot));
      if (one->loading) text += fmt::format(", {} in hand", units.size() > 1 ? "are" : "is");
      if (one->over) text += ", has run its time: take it out, and tick it";
      if (one->until) text += fmt::format(", until step {} ({}) begins", one->until->number, one->until->title);
      out.push_back(std::move(text));
    }
    return fmt::format("{}", fmt::join(out, "; "));
  }

  const plan::Plan& plan_;
  const State& state_;
  const plan::Resource& resource_;
  const plan::Step& step_;
  const int unit_;
  const Moment now_;
  std::vector<Held> held_;
};

/// An oven, a bath; a table that is not to be had leaves what lies on it, or was sent off from it, as it is.
bool runs_things(const plan::Resource& r) { return r.kind == plan::Resource::Kind::station && (r.warm_up.seconds > 0 || r.together); }

bool was_running(const State& state, const plan::Step& step, int unit, const Cell& cell, const Moment& then) {
  if ((unit != 0 && !state.in_lot(unit)) || cell.stand != Stand::running || !cell.leave || cell.leave->seq > then.seq) return false;
  return elapsed(*cell.leave, then, state.gaps).least_s < static_cast<double>(step.timing.unattended.seconds);
}

/// A person is never a place: whoever stands at the bench works.
const plan::Resource* place(const plan::Plan& plan, const ResourceId& id) {
  const plan::Resource* r = plan::find_resource(plan.work, id);
  return r == nullptr || r->kind == plan::Resource::Kind::person ? nullptr : r;
}

}  // namespace

std::vector<Missing> missing(const plan::Plan& plan, const State& state, const Moment& now) {
  std::vector<Missing> out;
  for (const Away& away : state.away) {
    const double left = away.seconds - elapsed(away.from, now, state.gaps).least_s;
    const plan::Resource* r = plan::find_resource(plan.work, away.resource);
    if (left <= 0 || r == nullptr) continue;
    const auto there = std::find_if(out.begin(), out.end(), [&](const Missing& m) { return m.resource == r; });
    if (there == out.end())
      out.push_back({r, left});
    else
      there->wait_s = std::max(there->wait_s, left);
  }
  return out;
}

std::vector<CutRun> cut_runs(const plan::Plan& plan, const State& state) {
  std::vector<CutRun> out;
  for (const Away& away : state.away) {
    const plan::Resource* r = plan::find_resource(plan.work, away.resource);
    if (r == nullptr || !runs_things(*r)) continue;
    for (const plan::Step& step : plan.work.steps) {
      const auto& uses = step.timing.uses;
      if (std::none_of(uses.begin(), uses.end(), [&](const plan::Use& use) { return use.resource == r->id; })) continue;
      CutRun cut{r, step.id, {}};
      for (auto at = state.cells.lower_bound({step.id, 0}); at != state.cells.end() && at->first.first == step.id; ++at)
        if (was_running(state, step, at->first.second, at->second, away.from)) cut.units.push_back(at->first.second);
      const bool named = std::any_of(out.begin(), out.end(), [&](const CutRun& c) { return c.step == step.id && c.units == cut.units; });
      if (!cut.units.empty() && !named) out.push_back(std::move(cut));
    }
  }
  return out;
}

std::optional<FreePlaces> free_places(const plan::Plan& plan, const State& state, const ResourceId& resource, const plan::Step& step, int unit,
                                      const Moment& now, double in_s) {
  const plan::Resource* r = place(plan, resource);
  if (!r) return std::nullopt;
  return FreePlaces{r->name, std::max(0, r->capacity - Place(plan, state, *r, step, unit, now).in_use_after(in_s)), r->together};
}

std::string clock_in(const plan::Plan& plan, const Moment& now, double seconds) {
  const auto zone = calendar::Zone::find(plan.head.zone.empty() ? "UTC" : plan.head.zone);
  const std::int64_t at = now.wall_ms / 1000 + std::llround(std::ceil(seconds));
  return calendar::short_text(Instant((at + 59) / 60 * 60), zone ? *zone : *calendar::Zone::find("UTC"));
}

std::vector<NoPlace> no_place(const plan::Plan& plan, const State& state, const plan::Step& step, int unit, const Moment& now) {
  std::vector<NoPlace> out;
  if (step.timing.uses.empty()) return out;
  const auto away = missing(plan, state, now);
  for (const plan::Use& use : step.timing.uses) {
    const plan::Resource* r = place(plan, use.resource);
    if (!r) continue;
    const auto gone = std::find_if(away.begin(), away.end(), [&](const Missing& m) { return m.resource == r; });
    if (gone != away.end()) {
      out.push_back({{}, fmt::format("{} is not to be had until {}", r->name, clock_in(plan, now, gone->wait_s)), gone->wait_s});
      continue;
    }
    const Place at(plan, state, *r, step, unit, now);
    if (at.is_full(use)) out.push_back(at.why(use));
  }
  return out;
}

std::size_t room(const plan::Plan& plan, const State& state, const plan::Step& step, const Moment& now) {
  std::size_t most = step.timing.batch_max > 0 ? static_cast<std::size_t>(step.timing.batch_max) : std::numeric_limits<std::size_t>::max();
  for (const plan::Use& use : step.timing.uses) {
    const plan::Resource* r = step.timing.whole_lot ? nullptr : place(plan, use.resource);
    if (!r || use.count <= 0) continue;
    const Place at(plan, state, *r, step, 0, now);
    if (!at.each(use)) continue;
    const int free = (r->capacity - at.in_use()) / use.count;
    most = std::min(most, static_cast<std::size_t>(std::max(1, free)));
  }
  return std::max<std::size_t>(1, most);
}

}  // namespace handlot::record
