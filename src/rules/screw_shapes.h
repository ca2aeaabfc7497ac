// screw_shapes.h: a screw of the job as its shapes show it.
#pragma once

#include <vector>

#include "rules/rule.h"
#include "shapes/fasteners.h"

namespace handlot::rules {

/// One of the screws as it sits in the finished unit.
struct SeatedScrew {
  std::size_t body = 0;
  shapes::ScrewSituation sits;
};
/// Every modelled body of the part, in order; bodies without a round shank and a head are left out.
std::vector<SeatedScrew> seated(const Facts& facts, const job::Part& screw);

/// The most and the least of what its bodies clamp, and the least thread and room that they find. None: no body of it has
/// a thread in the shapes.
struct StackFromShapes {
  Millimetres grip_least, grip_most;
  Millimetres thread_least;                ///< depth
  bool drawn = true;                       ///< as holes; else the depth is only that of a rough body
  std::optional<Millimetres> beyond_least;  ///< behind the thread, to the next thing; none: nothing there
};
std::optional<StackFromShapes> stack_from_shapes(const std::vector<SeatedScrew>& screws);

/// What of rule screw-hole speaks of bosses: core holes of screws that form their thread, holes and walls of inserts.
void boss_holds(const Facts& facts, const job::Part& part, Yield& yield);

}  // namespace handlot::rules
