// heat.h: how hot a step gets and what a part stands.
#pragma once

#include <optional>
#include <string>

#include "input/units.h"
#include "rules/rule.h"

namespace handlot::rules {

struct Heat {
  Celsius temperature;
  Source source;
  std::string reach;  ///< "touched", "near" (same subassembly), "body" (that, and what was put on it), "whole" (all that is in one body with it)
};

/// The temperature that the parts of the step reach: stated in the job, else for reflow the highest peak that a check of the
/// step passes, or the paste's, else the process card's figure. Empty when the step heats nothing, or nobody says how far.
std::optional<Heat> heat_of(const Facts& facts, const job::Step& step);

/// The limits of a check that speaks of the peak, in degC; empty for any other check and for a unit of something else.
std::optional<input::Amount> peak_passed(const job::CheckLine& check);

/// Whether the heat of `hot` comes to `id`: it works on it, or warms the whole of what `id` was joined with before it.
bool warms(const Facts& facts, const KnownOrder& order, const job::Step& hot, const Heat& heat, const PartId& id);

/// What the part stands: its own reflow limit (for reflow), its own heat limit, or its material's.
std::optional<catalogue::Sourced<Celsius>> heat_limit_of(const Facts& facts, const PartId& part, bool reflow);

}  // namespace handlot::rules
