// earth.h: the lead that earths metal.
#pragma once

#include "rules/rule.h"

namespace handlot::rules {

/// An earth lead, tag or strap, by its name or that of its card.
bool earth_lead(const Facts& facts, const PartId& part);

}  // namespace handlot::rules
