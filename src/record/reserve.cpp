#include "record/reserve.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/text.h"
#include "record/look.h"
#include "record/places.h"

namespace handlot::record {
namespace {

/// A unit must be at the step so soon.
struct Promise {
  const plan::Step* step;
  int unit;
  double due_s;
};

bool is_open(const State& state, const plan::Step& step, int unit) {
  const Cell* cell = cell_of(state, step, unit);
  return !cell || cell->stand == Stand::open || cell->stand == Stand::again;
}

double takes_s(const plan::Step& step, std::size_t units) {
  const double runs = step.timing.run_per_unit && !step.timing.whole_lot ? static_cast<double>(units) : 1;
  return static_cast<double>(step.timing.setup.seconds) + static_cast<double>(step.timing.run.seconds) * runs + static_cast<double>(step.timing.unattended.seconds);
}

class Reserve {
 public:
  Reserve(const plan::Plan& plan, const State& state, std::span<const Timer> clocks, const Moment& now) : plan_(plan), state_(state), now_(now) {
    for (const Timer& clock : clocks) {
      const auto* end = clock.until_late_s.value_or(-1) >= 0 ? find_step(plan, clock.to) : nullptr;
      if (!end || end->timing.whole_lot) continue;
      for (const int n : clock.units.front() == 0 ? state.good_units() : clock.units) promise(*end, n, *clock.until_late_s, others_);
    }
  }

  std::string against(const plan::Step& step, const std::vector<int>& units) const {
    std::vector<Promise> own;
    for (const plan::Wait& wait : plan_.waits)
      if (const auto* next = within_a_day(wait, step.id))
        for (const int n : units) promise(*next, n, takes_s(step, units.size()) + static_cast<double>(wait.max->seconds), own);
    for (const Promise& p : own)
      for (const plan::Use& use : p.step->timing.uses)
        if (auto why = has_no_place(p, use, own); !why.empty()) return why;
    for (const plan::Use& use : step.timing.uses)
      if (auto why = takes_from_others(step, units, use); !why.empty()) return why;
    return "";
  }

 private:
  const plan::Step* within_a_day(const plan::Wait& wait, const StepId& from) const {
    constexpr Duration kDay = handlot::hours(24);  // longer windows are for the plan
    if (wait.from.step != from || wait.scope != plan::Scope::unit || !wait.max || *wait.max > kDay) return nullptr;
    const auto* next = find_step(plan_, wait.to.step);
    return next && !next->timing.whole_lot ? next : nullptr;
  }

  /// And what must follow it in time.
  void promise(const plan::Step& step, int unit, double due_s, std::vector<Promise>& out) const {
    const auto there = std::find_if(out.begin(), out.end(), [&](const Promise& p) { return p.step == &step && p.unit == unit; });
    if (!state_.in_lot(unit) || !is_open(state_, step, unit) || there != out.end()) return;
    out.push_back({&step, unit, due_s});
    for (const plan::Wait& wait : plan_.waits)
      if (const auto* next = within_a_day(wait, step.id)) promise(*next, unit, due_s + takes_s(step, 1) + static_cast<double>(wait.max->seconds), out);
  }

  static int count_of(const Promise& p, const ResourceId& resource) {
    int sum = 0;
    for (const plan::Use& use : p.step->timing.uses)
      if (use.resource == resource && use.per_unit) sum += use.count;
    return sum;
  }

  static double holds_s(const plan::Step& step, std::size_t units, const plan::Use& use) {
    return use.until_start_of ? kNobodyKnows : takes_s(step, units) + static_cast<double>(use.hold_after_end.seconds);
  }

  /// So many places of the resource, each held so long at most.
  struct Wish {
    int count = 0;
    double held_s = 0;

    void add(const Promise& p, const ResourceId& resource) {
      for (const plan::Use& use : p.step->timing.uses) {
        if (use.resource != resource || !use.per_unit) continue;
        count += use.count;
        held_s = std::max(held_s, holds_s(*p.step, 1, use));
      }
    }
  };

  /// A place that comes free soon enough is taken again: free by the last hold but one before the end, it serves two.
  bool is_met(const Wish& wish, const Promise& p, const plan::Use& use, int free_by_then) const {
    int met = free_by_then;
    for (int turn = 1; turn < wish.count && met < wish.count; ++turn) {
      const double by_s = p.due_s - turn * wish.held_s;
      if (by_s < 0) break;
      met += free_places(plan_, state_, use.resource, *p.step, p.unit, now_, by_s)->count;
    }
    return met >= wish.count;
  }

  static bool holds(const std::vector<Promise>& all, const Promise& one) {
    return std::any_of(all.begin(), all.end(), [&](const Promise& p) { return p.step == one.step && p.unit == one.unit; });
  }

  std::string has_no_place(const Promise& p, const plan::Use& use, const std::vector<Promise>& own) const {
    const auto free = free_places(plan_, state_, use.resource, *p.step, p.unit, now_, p.due_s);
    if (!free || !use.per_unit || free->together) return "";
    Wish wish;
    for (const Promise& o : own)
      if (o.due_s <= p.due_s) wish.add(o, use.resource);
    for (const Promise& o : others_)
      if (!holds(own, o)) wish.add(o, use.resource);
    if (is_met(wish, p, use, free->count)) return "";
    return fmt::format("step {} ({}) must follow within {}, and there is no place for it: {} is full", p.step->number, p.step->title,
                       in_words(Duration(std::llround(p.due_s))), free->name);
  }

  std::string takes_from_others(const plan::Step& step, const std::vector<int>& units, const plan::Use& use) const {
    if (!use.per_unit || step.timing.whole_lot) return "";
    const double held_s = holds_s(step, units.size(), use);
    for (const Promise& p : others_) {
      const bool mine = p.step == &step && std::find(units.begin(), units.end(), p.unit) != units.end();
      if (mine || p.due_s >= held_s || count_of(p, use.resource) == 0) continue;
      const auto free = free_places(plan_, state_, use.resource, *p.step, p.unit, now_, p.due_s);
      if (!free || free->together) continue;
      int wants = use.count * static_cast<int>(units.size());
      for (const Promise& o : others_) {
        const bool same = o.step == &step && std::find(units.begin(), units.end(), o.unit) != units.end();
        wants += same || o.due_s > p.due_s ? 0 : count_of(o, use.resource);
      }
      if (wants > free->count)
        return fmt::format("{} is kept for step {} ({}), unit {}", free->name, p.step->number, p.step->title, p.unit);
    }
    return "";
  }

  static constexpr double kNobodyKnows = 1e12;
  const plan::Plan& plan_;
  const State& state_;
  const Moment now_;
  std::vector<Promise> others_;  ///< of the clocks that run
};

}  // namespace

std::string no_place_left(const plan::Plan& plan, const State& state, std::span<const Timer> clocks, const plan::Step& step, const std::vector<int>& units, const Moment& now) {
  if (units.empty() || units.front() == 0) return "";
  return Reserve(plan, state, clocks, now).against(step, units);
}

}  // namespace handlot::record
