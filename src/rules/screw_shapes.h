// screw_shapes.h: a screw of the job as its shapes show it.
#pragma once

#include <vector>

#include "rules/rule.h"
#include "shapes/fasteners.h"
#include "shapes/round_pair.h"

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

/// The hole that a threaded insert sits in, and the insert's own width, as its card gives it or as it is drawn.
struct InsertSeat {
  std::size_t body = 0;     ///< that has the hole
  shapes::RoundPair pair;
  bool grips = false;       ///< no wider than the insert, on a third of its length or more
};
/// One that grips it, else the one nearest to its width. None: no hole of what it goes into lies about it.
/// Given    insert.into is said, `body` is one of its bodies.
std::optional<InsertSeat> seat_of_insert(const Facts& facts, const job::Part& insert, std::size_t body);

/// What of rule screw-hole speaks of bosses: core holes of screws that form their thread, holes and walls of inserts.
void boss_holds(const Facts& facts, const job::Part& part, Yield& yield);

}  // namespace handlot::rules
