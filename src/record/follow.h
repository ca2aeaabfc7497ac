// follow.h: may a step be begun now, so that what must follow it within a latest end still can? Hands and shop hours count:
// paste printed before the shop shuts is lost by the morning.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "plan/plan.h"
#include "record/state.h"
#include "record/timers.h"

namespace handlot::record {

/// Keeps what it found; of one moment.
class Follow {
 public:
  /// Given  plan and state outlive it; `clocks` are timers(plan, state, now), where somebody has them already.
  Follow(const plan::Plan& plan, const State& state, const Moment& now, std::optional<std::vector<Timer>> clocks = {})
      : plan_(plan), state_(state), now_(now), clocks_(std::move(clocks)) {}

  enum class What {
    likely,      ///< also a follower within two hours that waits for anything at all
    for_certain  ///< only what time alone, or the shop's hours, forbid
  };
  /// Why the step is better begun later for these units; empty: it may begin now. A step that fits no better when the shop
  /// opens again is let through, for then waiting saves nothing.
  ///
  /// Cost  steps x links for each latest end that begins with the step.
  std::string too_early(const StepId& step, const std::vector<int>& units, What what = What::likely) const;

  /// Why the step would be done for nothing: a clock of these units runs, and what ends it is away for longer. Empty: it would not.
  std::string in_vain(const StepId& step, const std::vector<int>& units) const;

  /// Why the clock of this unit cannot be kept, whatever the hands do: what ends it needs something that is away. Empty: it can.
  std::string lost(const Timer& clock, int unit) const;

  /// It may as well be done after the shop's next opening, with so long to its own latest end; where the shop's hours are not
  /// known, with more than a day.
  bool can_wait(const StepId& step, const std::vector<int>& units, double until_late_s) const;

  /// The shop shuts, or who alone may do it leaves, so long from now, before the hands are through with these units; empty:
  /// neither, or the step may be left half done.
  std::optional<double> shuts_before(const plan::Step& step, std::size_t units) const;

  /// "the shop shuts", "Helper leaves": what ends the hours in which the step can be done today.
  std::string what_shuts(const plan::Step& step) const;

  /// `to` cannot be begun before `from`, as behind() says.
  bool leads_to(const StepId& from, const StepId& to) const;

  /// A step that must follow this one soon waits for somebody who is not there.
  bool follower_is_absent(const StepId& step) const;

  /// No step of this unit can begin sooner, from now, whatever the hands do: what runs, cures, bakes and takes its place, and
  /// the runs of one unit through what is not done. What comes after `without` is left out.
  double soonest_s(const plan::Step& step, int unit, const StepId& without = {}) const;

  /// True: waiting for the next opening of the shop gains nothing.
  bool no_better_opening() const;

  /// What is left of a latest end for the hands, and of how much. An end that falls in the night is as near as the evening's
  /// closing. By the clock where the hours are not known, where the shop is shut now, and where the step is not ready while it
  /// could be begun in time.
  struct Left {
    double left_s = 0;   ///< until the last moment at which the step can be begun, in seconds of shop hours
    double window_s = 0;
    bool of_hours = false;
  };
  Left left(const plan::Step& step, std::size_t units, double ready_in_s, double until_late_s, double window_s) const;

  /// How long these units keep the hands: set-up and runs, by the builder's own times where agreed, or measured and longer.
  double hands_s(const plan::Step& step, std::size_t units) const;

 private:
  struct Run;
  std::string cannot_follow(const plan::Wait& wait, const plan::Step& step, const std::vector<int>& units, What what) const;
  bool fits(const plan::Wait& wait, const plan::Step& step, const std::vector<int>& units, double begin_s, bool in_hours, double spare_s) const;
  std::string hands_cannot(const plan::Wait& wait, const plan::Step& step, const std::vector<int>& units) const;
  const std::vector<plan::Interval>& hours_of(const plan::Step& step) const;
  double opens_s(const plan::Step& step, double from_s) const;
  double work(const plan::Step& step, double from_s, double hands_s, double spare_s = 0) const;
  std::vector<double> next_openings_s(const std::vector<plan::Interval>& hours) const;
  std::vector<double> next_openings_s(const plan::Step& step, const plan::Step& next) const;
  std::string shuts_first(const plan::Step& step, std::size_t units) const;
  double runs_until_s(const plan::Step& step, int unit) const;
  double done_in_s(const plan::Step& step, int unit, const StepId& without) const;
  double unprepared_s(const plan::Step& step) const;
  double wait_between(const plan::Step& from, const plan::Step& to) const;
  const std::vector<Timer>& clocks() const;
  double run_s(const plan::Step& step) const;

  const plan::Plan& plan_;
  const State& state_;
  const Moment now_;
  mutable std::optional<std::vector<Timer>> clocks_;
  mutable std::optional<std::map<StepId, double>> measured_s_;
  mutable std::map<StepId, std::vector<StepId>> behind_;
  mutable std::map<StepId, std::optional<std::vector<plan::Interval>>> own_hours_;
  mutable std::map<std::tuple<StepId, int, StepId>, double> soonest_;
  mutable std::map<std::pair<StepId, int>, double> runs_until_;
};

}  // namespace handlot::record
