// setting.h: what a tool is set to, in the spellings that people write.
#pragma once

#include <optional>
#include <string_view>

#include "input/units.h"
#include "job/job.h"

namespace handlot::rules {

/// The amount in the canonical unit. Beside the units of a job file it takes °C, C, °F, F, N m, Ncm, cNm and mNm, with or
/// without a space or a point, and leaves out what follows a comma, a semicolon or a bracket: "380 °C, fine tip".
std::optional<input::Amount> as_spelled(std::string_view text, input::Dimension dimension);

/// The same of a setting: empty for words ("finger tight"), another kind of setting ("60 W"), and what is not understood.
std::optional<input::Amount> set_to(const job::ToolUse& tool, input::Dimension dimension);

/// It begins with a number, and yet no such amount can be read from it: "430", "300 kgx". What is an amount of something else
/// is no fault: "60 W", "300 rpm".
bool not_understood(const job::ToolUse& tool, input::Dimension dimension);

}  // namespace handlot::rules
