// ground.h: the ground under a coat, or under what sticks by itself: what lies on it, what has taken that off, how long it has dried.
#pragma once

#include <string>
#include <string_view>

#include "rules/rule.h"

namespace handlot::rules {

/// Wax, oil or silicone that the step leaves on what it works on; of a drying oil, that dries to a ground, nothing. Looks at the
/// process and at the materials: a fit with grease, a drilling with oil. Empty: nothing.
std::string grease_left(const Facts& facts, const job::Step& step);

/// The step wets the face of `part`: it is on the part, touches it, or is on what holds it.
bool works_at(const Facts& facts, const job::Step& step, const PartId& part);

/// Between the two a step takes what `dirty` left off of the part, or the part was masked while `dirty` was done.
/// Silicone and a wax that was rubbed in want sanding, or a solvent whose card removes wax.
bool taken_off(const Facts& facts, const KnownOrder& order, const job::Step& dirty, const job::Step& later, const PartId& part);

/// The least time that the job plans between the two: the longest chain of steps that follow one another, with stated waits. What was
/// coated dries meanwhile, whatever is done.
/// Cost     every pair of steps between the two.
Duration planned_rest(const Facts& facts, const KnownOrder& order, const job::Step& coat, const job::Step& later);

/// A step leaves the part, or a face of it, in that state.
bool left_so(const Facts& facts, const PartId& part, std::string_view state);

}  // namespace handlot::rules
