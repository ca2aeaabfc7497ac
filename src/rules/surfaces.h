// surfaces.h: which faces a step needs bare, and what spoils them.
#pragma once

#include <set>
#include <string_view>

#include "rules/rule.h"

namespace handlot::rules {

/// Oil, wax, lacquer, silicone: nothing sticks on them, neither glue nor solder.
bool spoils_bonds(std::string_view contaminant);

/// The parts whose faces must be bare for the step: those of its bonds, or what is soldered, pasted or coated. Empty: none.
std::set<PartId> bare_for(const Facts& facts, const job::Step& step);

}  // namespace handlot::rules
