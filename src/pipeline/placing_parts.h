// placing_parts.h: the parts of a placing step with their places on the board, from the placement list or the job.
#pragma once

#include <vector>

#include "plan/plan.h"
#include "rules/rule.h"
#include "solder/placement_list.h"
#include "solder/placing.h"

namespace handlot::pipeline {

struct PlacedPart {
  PartId id;
  bool bottom = false;
  solder::Placement placement;
};

/// Parts whose place is known, by reference.
std::vector<PlacedPart> placed_parts(const rules::Facts& facts, const job::Step& step, const solder::PlacementList* list);

/// Where the list and the job do not agree: parts missing or left over, package or side, a mirrored or shifted list.
std::vector<plan::Finding> list_against_job(const rules::Facts& facts, const solder::PlacementList& list);

}  // namespace handlot::pipeline
