// alloys.h: what a paste or a solder is made of.
#pragma once

#include "catalogue/catalogue.h"

namespace handlot::rules {

/// Of a paste or a solder, by its alloy: lead makes it melt early.
bool has_bismuth(const catalogue::Card& alloy);

}  // namespace handlot::rules
