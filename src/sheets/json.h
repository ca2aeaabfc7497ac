// json.h: the plan as one JSON document, for scripts and for other programs.
#pragma once

#include <string>

#include "plan/plan.h"

namespace handlot::sheets {

/// The members that scripts may rely on stand in docs/reference/plan-json.md; more may be added, none taken
/// away.
///
/// Units    seconds in members that end in _s; moments as ISO 8601 in UTC ("2026-11-25T13:37:00Z").
/// Returns  UTF-8 with two spaces a level and a line end at the end. The same plan gives the same bytes.
///          Text that is not UTF-8 has its bad bytes replaced by U+FFFD: a sheet with one odd letter beats
///          none.
std::string to_json(const plan::Plan& plan);

/// Only `job` and `findings`: what `check --json` prints.
std::string findings_to_json(const plan::Plan& plan);

}  // namespace handlot::sheets
