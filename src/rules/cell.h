// cell.h: when a cell gets connected, and when it is taken out again.
#pragma once

#include "rules/rule.h"

namespace handlot::rules {

/// The step connects a cell that it names: its plug goes in, its leads are soldered or wired, or a bare one is set into its holder. One
/// with leads that is only laid in waits for its plug.
bool connects_a_cell(const Facts& facts, const job::Step& step);

/// The step says that it works without the cell: "Take the cell out".
bool says_out(const job::Step& step);

/// Put in by `joins`, the cell was taken out again for `work`: a step between them says so, or the work itself.
bool out_again(const Facts& facts, const KnownOrder& order, const job::Step& joins, const job::Step& work);

}  // namespace handlot::rules
