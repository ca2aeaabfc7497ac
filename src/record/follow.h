// follow.h: may a step be begun now, so that what must follow it within a latest end still can? Hands and shop hours count:
// paste printed before the shop shuts is lost by the morning.
#pragma once

#include <map>
#include <string>
#include <tuple>
#include <vector>

#include "plan/plan.h"
#include "record/state.h"

namespace handlot::record {

/// Keeps what it found; of one moment.
class Follow {
 public:
  /// Given  plan and state outlive it.
  Follow(const plan::Plan& plan, const State& state, const Moment& now) : plan_(plan), state_(state), now_(now) {}

  /// Why the step is better begun later for these units; empty: it may begin now. A step that fits no better when the shop
  /// opens again is let through, for then waiting saves nothing.
  ///
  /// Cost  steps x links for each latest end that begins with the step.
  std::string too_early(const StepId& step, const std::vector<int>& units) const;

  /// True: waiting for the next opening of the shop gains nothing.
  bool no_better_opening() const;

  /// How long these units keep the hands: set-up and runs, by the builder's own times where agreed.
  double hands_s(const plan::Step& step, std::size_t units) const;

 private:
  struct Run;
  std::string cannot_follow(const plan::Wait& wait, const plan::Step& step, const std::vector<int>& units) const;
  bool fits(const plan::Wait& wait, const plan::Step& step, const std::vector<int>& units, double begin_s, bool in_hours) const;
  double work(double from_s, double hands_s, bool may_pause) const;
  std::vector<double> next_openings_s() const;
  double soonest_s(const plan::Step& step, int unit, const StepId& without) const;
  double runs_until_s(const plan::Step& step, int unit) const;
  double done_in_s(const plan::Step& step, int unit, const StepId& without) const;
  double wait_between(const plan::Step& from, const plan::Step& to) const;
  bool leads_to(const StepId& from, const StepId& to) const;

  const plan::Plan& plan_;
  const State& state_;
  const Moment now_;
  mutable std::map<StepId, std::vector<StepId>> behind_;
  mutable std::map<std::tuple<StepId, int, StepId>, double> soonest_;
};

}  // namespace handlot::record
