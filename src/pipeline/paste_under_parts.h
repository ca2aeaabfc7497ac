// paste_under_parts.h: the places of the placement list held against the openings of the stencil.
#pragma once

#include <vector>

#include "plan/plan.h"
#include "rules/rule.h"
#include "solder/placement_list.h"

namespace handlot::pipeline {

/// Where the list can't be that of the stencil (rule "placement-list"): as solder::places_on_paste tells, each side by itself. Only
/// parts that a placing step sets count. Files that can't be read, or are of another layer or side, are told of elsewhere.
void hold_against_paste(const rules::Facts& facts, const solder::PlacementList& list, std::vector<plan::Finding>& findings);

}  // namespace handlot::pipeline
