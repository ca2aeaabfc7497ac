// hazards.h: what a step does to hands, lungs and the house, from its process, its fluids and the parts it reaches.
#pragma once

#include "rules/rule.h"
#include "safety/caution.h"

namespace handlot::rules {

safety::StepFacts step_facts(const Facts& facts, const job::Step& step);

/// Whether title or actions tell that something is sprayed.
bool sprays(const job::Step& step);

/// What gets power at the step: boards, cells and mains in reach of a test or a run, or of a cell that is plugged in.
std::set<PartId> powered(const Facts& facts, const job::Step& step);

/// How long its vapour hangs: the process card's figure; zero when the card has none.
Duration vapour_clears(const Facts& facts, const job::Step& step);

}  // namespace handlot::rules
