// lamp.h: what shines on glue that hardens by light.
#pragma once

#include "rules/rule.h"

namespace handlot::rules {

/// The step that glues shines on the joint itself, by its own words.
bool lit_as_glued(const job::Step& glue);

/// The step of the lamp that hardens the bond: the first listed after the gluing, else one listed before it that has nothing
/// else to harden. Null: the glue hardens without, the gluing shines itself, or nothing does.
const job::Step* lamp_of(const Facts& facts, const job::Joint& joint, const job::Step& glue);

/// Listed before the gluing, the lamp is for what is there by then: a print of resin, a coat, another bond; or what is
/// glued later wants no light.
bool lamp_for_other(const Facts& facts, const job::Step& lamp, const job::Step& glue);

}  // namespace handlot::rules
