// kit_csv.h: the kit list as a table for other programs.
#pragma once

#include <string>

#include "plan/plan.h"

namespace handlot::sheets {

/// Columns: id, name, kind, per_unit, unit, lot, spare, pull (lot + spare), stock, spec, bag, look_alikes,
/// first_step, size. Returns  RFC 4180: commas, CR LF, quotes where needed; numbers with a point and without
/// thousands marks.
std::string kit_csv(const plan::Plan& plan);

}  // namespace handlot::sheets
