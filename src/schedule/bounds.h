// bounds.h: how soon the lot can be done at best, proven without any search.
#pragma once

#include <string>
#include <vector>

#include "core/quantity.h"
#include "plan/schedule.h"
#include "schedule/shop_hours.h"

namespace handlot::schedule {

/// No schedule of the work has a shorter makespan than `makespan`; `what` says by which argument.
struct LowerBound {
  std::string what;  ///< "longest path", "hands", "oven"
  Duration makespan{0};
};

/// Longest path through the links of one unit, with the whole lot where a link waits for it; the load of the
/// hands in shop hours; the load of each station and counted fixture. The loads are weighed against the time
/// that must pass before and after them:
///
///   |-- head --|###### load of all steps of the window ######|-- tail --|
///
/// Every sub-batch size that a step may have is allowed for: the bound holds for all of them.
///
/// Given    faults(work) is empty.
/// Returns  the strongest first, ties by name. A bound longer than the calendar is cut to the calendar's end
/// plus what
///          must follow unattended.
/// Cost     steps squared for each resource and each step of a search by halves over the horizon.
std::vector<LowerBound> lower_bounds(const plan::Work& work);

/// The same arguments asked about one finish only: true if they show that nothing ends sooner.
/// Cost     a twentieth of lower_bounds.
bool no_sooner_than(const plan::Work& work, Time finish);

}  // namespace handlot::schedule
