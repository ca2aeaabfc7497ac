// sample_plan.h: a made-up plan with everything a sheet can show, for tests. Its figures are invented.
#pragma once

#include "plan/plan.h"

namespace handlot::test {

/// "Fog bell": 20 steps, 6 units, Europe/Paris; starts on Thursday 22 October 2026, so that its long cure
/// runs over the clock change of Sunday 25 October.
plan::Plan sample_plan();

/// The same steps over again until there are `steps` of them, for `lot` units, one operation a unit.
plan::Plan large_plan(int steps, int lot);

}  // namespace handlot::test
