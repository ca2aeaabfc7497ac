// drying.h: which drying belongs to which wetting.
#pragma once

#include "rules/rule.h"

namespace handlot::rules {

/// The step that dries what `wet` wetted or cleaned; null: none.
const job::Step* drying_of(const Facts& facts, const job::Step& wet);

}  // namespace handlot::rules
