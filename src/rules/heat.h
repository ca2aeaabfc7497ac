// heat.h: how hot a step gets and what a part stands.
#pragma once

#include <optional>
#include <string>

#include "rules/rule.h"

namespace handlot::rules {

struct Heat {
  Celsius temperature;
  Source source;
  std::string reach;  ///< "touched", "near" (same subassembly), "whole" (all that is in one body with it)
};

/// The temperature that the parts of the step reach: stated in the job, else the paste's highest peak for reflow, else
/// the process card's figure. Empty when the step heats nothing, or nobody says how far.
std::optional<Heat> heat_of(const Facts& facts, const job::Step& step);

/// What the part stands: its own reflow limit (for reflow), its own heat limit, or its material's.
std::optional<catalogue::Sourced<Celsius>> heat_limit_of(const Facts& facts, const PartId& part, bool reflow);

}  // namespace handlot::rules
