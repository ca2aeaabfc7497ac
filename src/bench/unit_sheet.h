// unit_sheet.h: the build record of one unit as pages to print, in the sheet's own layout.
#pragma once

#include "bench/page.h"
#include "sheets/sheet.h"

namespace handlot::bench {

/// Serial, plan, materials and their lots; every step with when, values, limits and words; every line of the
/// record that concerns the unit, struck ones marked; photos by their name in the record. Given  1 <= unit <=
/// lot.
sheets::Sheet unit_sheet(const Desk& desk, int unit);

}  // namespace handlot::bench
