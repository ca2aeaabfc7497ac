// cell.h: when a cell gets connected.
#pragma once

#include "rules/rule.h"

namespace handlot::rules {

/// The step connects a cell that it names: its plug goes in, its leads are soldered or wired, or a bare one is set into its holder. One
/// with leads that is only laid in waits for its plug.
bool connects_a_cell(const Facts& facts, const job::Step& step);

}  // namespace handlot::rules
