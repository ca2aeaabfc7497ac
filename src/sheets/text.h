// text.h: plan, findings and sheet for a terminal.
#pragma once

#include <string>

#include "plan/plan.h"
#include "sheets/sheet.h"

namespace handlot::sheets {

struct TextOptions {
  std::size_t width = 96;  ///< columns; less than 60 is taken as 60
  bool colour = false;     ///< ANSI bold and colour; never the only sign
};

/// Hours of work, which no day of 24 h holds: "138 h", "7 h 46 min".
std::string work_in_words(Duration work);

/// "tung oil: 2 g a unit, 12 g for the lot"; without what is not said.
std::string material_text(const plan::StepMaterial& material);

/// The order and the schedule: what `handlot plan` prints. An infeasible plan gives the clash of reasons
/// instead.
std::string plan_as_text(const plan::Plan& plan, const TextOptions& options = {});

/// Findings, gravest first, each with place, mend and source, and a count at the end: what `handlot check`
/// prints.
std::string findings_as_text(const plan::Plan& plan, const TextOptions& options = {});

/// The whole sheet with the words of the PDF and HTML forms.
std::string sheet_as_text(const Sheet& sheet, const TextOptions& options = {});

}  // namespace handlot::sheets
