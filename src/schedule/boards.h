// boards.h: how many boards fit on a tray.
#pragma once

#include "core/quantity.h"

namespace handlot::schedule {

/// Rectangular boards side by side in straight rows, with `spacing` between neighbours; none is needed at the
/// rim. With `may_turn` also all boards turned, and two blocks of rows: some upright, the rest of the tray
/// turned.
///
///   +--+--+--+-----+
///   |  |  |  |     |     block of upright boards, then turned ones on what is left
///   |  |  |  +-----+     (in a straight cut either way)
///   +--+--+--+     |
///
/// Units    millimetres; a fit within 1e-6 mm counts.
/// Given    board sides > 0, spacing >= 0; a tray with no room gives 0.
/// Returns  the most that this way of laying holds: a true count, not an upper bound for every packing.
/// Cost     boards along one side, squared.
int boards_that_fit(Millimetres tray_width, Millimetres tray_depth, Millimetres board_width,
                    Millimetres board_depth, Millimetres spacing, bool may_turn);

}  // namespace handlot::schedule
