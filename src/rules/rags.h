// rags.h: which oil comes to its place without a rag.
#pragma once

#include "rules/rule.h"

namespace handlot::rules {

/// Scent is let fall in drops, or on felt that drinks it, and by its words no rag comes to it.
bool drips_scent(const Facts& facts, const job::Step& step);

}  // namespace handlot::rules
