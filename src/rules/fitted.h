// fitted.h: what is built into a body by the time that a step works on it.
#pragma once

#include <set>

#include "rules/rule.h"

namespace handlot::rules {

/// The step that fitted the part, what it belongs to, or what it was put on, into the body of `step`, when it surely came before. Null:
/// none did, or the step works on the part by itself.
/// Cost     the steps once for each body around the part.
const job::Step* fitted_by(const Facts& facts, const KnownOrder& order, const job::Step& step, const PartId& part);

/// The part sits on or in one of the bodies when `step` begins, as the job file lists it. Not where it is one of them itself.
bool sits_on_one_of(const Facts& facts, const PartId& part, const job::Step& step, const std::set<PartId>& bodies);

/// Chips that fall between its balls stay there, and paint glues it fast.
bool ball_bearing(const Facts& facts, const PartId& part);

/// What is fitted is covered from the work: by a step that masks, or in the words of this one ("Lay a cloth over the board").
bool covered_from(const Facts& facts, const job::Step& step);

/// The half of the rule chips-inside that speaks of baths: water, or a solvent in a tray.
void wet_inside(const Facts& facts, const KnownOrder& order, const job::Step& bath, Yield& yield);

}  // namespace handlot::rules
