// paste_clock.h: what a paste's card says of time, in the words of the solder layer.
#pragma once

#include "catalogue/card.h"
#include "rules/rule.h"
#include "solder/paste_clock.h"

namespace handlot::rules {

solder::PasteTimes paste_times(const catalogue::Card& paste);

/// The lags of the paste in this job's room, with what its card leaves open.
solder::PasteClocks clocks_of(const Facts& facts, const catalogue::Card& paste);

}  // namespace handlot::rules
