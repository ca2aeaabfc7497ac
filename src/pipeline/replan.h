// replan.h: the rest of a plan scheduled anew from what is true.
#pragma once

#include <map>
#include <set>
#include <vector>

#include "core/diagnostic.h"
#include "job/job.h"
#include "plan/plan.h"

namespace handlot::pipeline {

/// A step that is finished, or in hand (with its expected end), for one unit (1-based; a step for the whole lot counts for every unit).
struct Done {
  StepId step;
  int unit = 1;
  Instant start;
  Instant end;
  Instant hands_end{};  ///< in hand: hands are busy until then
  Duration unseen_start{0};  ///< by a clock's word only, it began so much longer ago: latest ends count it
  Duration unseen_end{0};
};

struct Progress {
  Instant now;
  std::vector<Done> done;
  std::vector<Done> earlier;                  ///< passes of steps that must be done again since
  std::set<int> scrapped;                     ///< units out of the lot
  std::map<StepId, Duration> own_run_times;   ///< learned hands-on times per unit, where the builder agrees
  std::map<ResourceId, Duration> away;        ///< not to be had for so long from now
  std::vector<plan::Interval> hours;          ///< of the shop from now on; empty = those of the plan
  std::map<ResourceId, std::vector<plan::Interval>> absences;  ///< within `hours`, of people with hours of their own
  std::map<StepId, std::vector<StepId>> rests_on;  ///< by step: what is done again when it is; of steps that a latest end spoils
};

/// Shop hours of a job from `now` on, for long enough to build the whole lot.
///
/// Returns  empty where the shop is never open.
std::vector<plan::Interval> hours_from(const job::Job& job, const plan::Work& work, Instant now);

/// When the people of a job are away while the shop is open: what `hours` leaves out of their own.
std::map<ResourceId, std::vector<plan::Interval>> absences_in(const job::Job& job, const std::vector<plan::Interval>& hours);

/// The plan with a schedule for what is left, from `now` on. What was done stands in it with the times it took; order,
/// links and words are those of the given plan. Sub-batches are those of the plan, less what is done or scrapped; a unit that
/// is done again is split off where the others are sooner done without it.
/// Stations and fixtures that what was done still holds are taken until it lets them go, hands that are busy until
/// they are free. Air that is to clear yet, and a hot tool that is to cool, hold up what may not be on beside them; a
/// station that is still warm needs no warm-up.
///
/// Returns  a plan whose schedule covers every unit that is left. A latest end that counts from something done and
///          can't be kept any more is planned for as soon as the shop is open, or given up: `clash` names it. Where it
///          spoils what was done (dried paste, a mix past its pot life), that is planned to be done again with all that
///          rests on it, and `clash` says so. Status infeasible when the rest can't be done even so.
/// Errors   replan-nothing-left: everything is done. replan-breach: the new schedule breaks a law of schedules (a fault of handlot).
/// Cost     that of one schedule without the trials of other batch sizes, some more where clocks cannot be kept or units are
///          done again. `seconds` of CPU are shared among all; the last have a small share in any case.
Result<plan::Plan> replan(const plan::Plan& plan, const Progress& progress, double seconds);

}  // namespace handlot::pipeline
