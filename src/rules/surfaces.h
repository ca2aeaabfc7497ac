// surfaces.h: which faces a step needs bare, and what spoils them.
#pragma once

#include <set>
#include <string>
#include <string_view>

#include "rules/rule.h"

namespace handlot::rules {

/// Oil, wax, lacquer, silicone: nothing sticks on them, neither glue nor solder.
bool spoils_bonds(std::string_view contaminant);

/// What a step leaves on the part that it is on, by its process: oil, wax, dust, none. Wood is turned dry: what lies on it then is dust.
std::string left_by(const Facts& facts, const job::Step& step);

/// The parts whose faces must be bare for the step: those of its bonds, or what is soldered, pasted or coated. Empty: none.
std::set<PartId> bare_for(const Facts& facts, const job::Step& step);

}  // namespace handlot::rules
