// progress.h: what the record says was done, as the planner takes it.
#pragma once

#include "bench/serve.h"
#include "pipeline/make_plan.h"
#include "pipeline/replan.h"
#include "plan/plan.h"
#include "record/state.h"

namespace handlot::cli {

/// Units    moments of the record become wall time by counting back from `now` the time that surely went by: a clock that
///          was set in between shortens no cure.
/// Returns  a step in hand with its expected end: units begun together end together, with the builder's own time where
///          it is agreed.
pipeline::Progress progress_of(const plan::Plan& plan, const record::State& state, const record::Moment& now);

/// Works the rest of a job's plan out anew, in the shop's hours from then on.
///
/// Cost     under a second of CPU; up to `seconds` where nothing is found within that.
bench::Replan replan_of(const pipeline::Outcome& outcome, double seconds);

}  // namespace handlot::cli
