// timers.h: what is curing, running or waiting for hands. A timer is never counted down: it is an end worked
// out from when the record says it began, so that nothing is lost when a screen sleeps or the program is
// killed.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plan/plan.h"
#include "record/state.h"

namespace handlot::record {

enum class Phase {
  late,      ///< past "not after": harm is done or likely
  ready,     ///< "not before" is over, and what follows has not begun
  doubtful,  ///< over by the wall clock's word only; the builder is asked
  running
};
std::string_view word(Phase phase);

struct Timer {
  std::string id;          ///< stable over reloads and restarts: the wait and when it began
  std::vector<int> units;  ///< that began it together; {0} = the whole lot
  StepId from;
  StepId to;            ///< the step that ends it; empty for a step that runs by itself, and for a cup
  std::string what;     ///< "epoxy of the feet cures"
  std::string then;     ///< what to do when it ends
  std::string if_late;  ///< what happens past the latest end
  Phase phase = Phase::running;
  Moment began;
  double gone_least_s = 0;
  double gone_most_s = 0;
  double min_s = 0;
  bool begun_by_some = false;  ///< of the whole lot: "not before" counts from its last unit, which is still to begin it
  std::optional<double> max_s;
  double until_ready_s = 0;            ///< <= 0: over; counts proven time only; begun by some: at the soonest
  std::optional<double> until_late_s;  ///< < 0: late; counts what the clock claims too
  bool late_for_sure = false;          ///< late by proven time, not only by the clock's word
  bool sounds = false;                 ///< ended, and nobody has stopped it yet
};

/// Latest ends of several units at one step of the whole lot are one timer, with the nearest of them. What a step that runs by
/// itself covers is that step's timer alone.
///
/// Besides the waits of the plan: a cup that was mixed as hands began (Step::cups); and air that clears and hot tools that cool, where nothing else holds up what may not be on
/// together with them.
///
/// All timers that are not over, in order of harm: late ones first (longest first), then those that can
/// become late (soonest first), then the other ended ones, then doubtful ones, then running ones (soonest
/// first).
///
/// Given   `now` is a moment of the record's own clock with the largest seq.
/// Cost    waits x units.
std::vector<Timer> timers(const plan::Plan& plan, const State& state, const Moment& now);

/// "now" for the functions of this layer.
Moment now_moment(const Stamp& at);

}  // namespace handlot::record
