// unit_sheet.h: the build record of one unit as pages to print, in the sheet's own layout.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "bench/page.h"
#include "bench/photos.h"
#include "record/ledger.h"
#include "sheets/sheet.h"

namespace handlot::bench {

using Photos = std::map<std::string, record::Photo>;  ///< by name

/// Names of the photos that belong to a unit, in plan order.
std::vector<std::string> photo_names(const Desk& desk, int unit);

/// Serial, plan, materials and their lots; every step with when, values, limits and words; the photos; every
/// line of the record that concerns the unit, struck ones marked.
///
/// Given    1 <= unit <= lot. Photos that are not in `photos` are left out.
sheets::Sheet unit_sheet(const Desk& desk, int unit, const Photos& photos);

}  // namespace handlot::bench
