// compose.h: from the plan to the words and boxes of the build sheet. The only place where the sheet's words
// are made.
#pragma once

#include <string>

#include "plan/plan.h"
#include "sheets/sheet.h"

namespace handlot::sheets {

struct SheetOptions {
  std::string base_url;  ///< before "/step/ID" in the scan codes: "http://192.168.1.20:8080"; may be empty
};

/// Sections in the order one needs them at the bench: front, hazards, findings, kit, sequence, time line,
/// waits, steps, pages of the plan, unit records, close-out, sources. A section without content is left out.
///
/// Given    any plan, an empty one too.
/// Cost     linear in steps + operations + units x checks.
Sheet compose(const plan::Plan& plan, const SheetOptions& options = {});

}  // namespace handlot::sheets
