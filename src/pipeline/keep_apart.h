// keep_apart.h: steps that are never on together, in the shop that there is.
#pragma once

#include "plan/plan.h"
#include "rules/rule.h"

namespace handlot::pipeline {

/// A station that warms up is hot before its step begins: the vapour has to be gone by then. Reasons and steps say how long
/// the air clears and what was hot cools.
///
/// Given    steps, resources and pairs of `work` are there, and come from `facts`.
void keep_apart(const rules::Facts& facts, plan::Work& work);

}  // namespace handlot::pipeline
