// hidden.h: what a step hides, and whether another one tests it.
#pragma once

#include <set>

#include "rules/rule.h"

namespace handlot::rules {

/// The parts that nobody reaches any more after the step, those within a subassembly too.
std::set<PartId> hidden_by(const Facts& facts, const job::Step& step);

/// True when the step proves the part, the subassembly around it or the whole unit to work.
bool tests_part(const Facts& facts, const job::Step& step, const PartId& part);

/// The step shuts a body; a box that a thing is packed in is none.
bool shuts(const Facts& facts, const job::Step& closing);

/// The part that the step works on and that lies in what `closing` shuts, put there by steps listed before it: what is worked on is
/// not the shut body itself. Empty: none, or `closing` shuts nothing.
PartId worked_on_inside(const Facts& facts, const job::Step& step, const job::Step& closing);

/// An iron to rigid parts in a body after the last step that the job file lists as closing it. Wires may stick out. Empty: no.
PartId soldered_inside(const Facts& facts, const job::Step& step, const job::Step& closing);

}  // namespace handlot::rules
