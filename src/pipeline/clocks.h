// clocks.h: what is said of clocks besides the waits themselves.
#pragma once

#include <vector>

#include "plan/plan.h"
#include "rules/rule.h"

namespace handlot::pipeline {

/// Glue that is mixed inside the step that uses it: how long a cup lasts.
void tell_pot_lives(const rules::Facts& facts, rules::Yield& yield);

/// Their clocks for the bench, where the plan's sub-batches each have one cup (Step::cups).
void start_cups(const rules::Facts& facts, plan::Plan& plan);

/// An earliest end of one link and the latest of another that fall on one moment: no hand keeps them. What one card or line says
/// alone is left as it is.
void no_time_between(const plan::Work& work, std::vector<plan::Finding>& findings);

}  // namespace handlot::pipeline
