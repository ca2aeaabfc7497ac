// hidden.h: what a step hides, and whether another one tests it.
#pragma once

#include <set>

#include "rules/rule.h"

namespace handlot::rules {

/// The parts that nobody reaches any more after the step, those within a subassembly too.
std::set<PartId> hidden_by(const Facts& facts, const job::Step& step);

/// True when the step proves the part, the subassembly around it or the whole unit to work.
bool tests_part(const Facts& facts, const job::Step& step, const PartId& part);

}  // namespace handlot::rules
