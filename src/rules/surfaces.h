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

/// Lays a film on the face: shellac or lacquer. Oil soaks in, wax lies on it.
bool film_process(std::string_view process);
/// A coating whose dry coat is such a film, by its family.
bool film_card(const catalogue::Card& finish);
/// A sanding that is listed after a coat of film on the same thing, with no such coat listed after it: it rubs the film level.
bool levels_film(const Facts& facts, const job::Step& sand);

/// Sticks by itself to what it is put on: its card says so, or its name.
bool self_adhesive(const Facts& facts, const PartId& part);
/// The step puts such a part on what it works on.
bool sticks_on(const Facts& facts, const job::Step& step);

}  // namespace handlot::rules
