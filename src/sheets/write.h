// write.h: the sheet's files in a folder, all of them or none.
#pragma once

#include <string>
#include <vector>

#include "core/diagnostic.h"
#include "plan/plan.h"
#include "sheets/pdf.h"

namespace handlot::sheets {

struct WriteOptions {
  Paper paper = Paper::a4;
  std::string base_url;   ///< before "/step/ID" in the scan codes; may be empty
  std::string templates;  ///< folder with the builder's own sheet.html, sheet.css; may be empty
};

/// Writes sheet.html, sheet.pdf, plan.json, plan.ics and kit.csv into `folder`, which is made if it is not
/// there. Everything is made first, written beside (".new"), and only then put in place, so that an old sheet
/// stays whole until the new one is.
///
/// Returns  the files written, in the order above, with the folder in front.
/// Errors   cannot-write: with the system's own words; nothing of the old sheet is touched then, unless the
/// system
///          fails between two renames.
///          template-unreadable: see html.h.
Result<std::vector<std::string>> write_sheet(const plan::Plan& plan, const std::string& folder,
                                             const WriteOptions& options = {});

}  // namespace handlot::sheets
