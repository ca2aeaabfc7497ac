// placing_parts.h: the parts of a placing step with their places on the board, from the placement list or the job.
#pragma once

#include <optional>
#include <vector>

#include "input/csv.h"
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

/// The placement list that the job names, with the values of the parts list (null: none) where it has none itself; none where the
/// job names none.
///
/// Errors   faults of the list.
Result<std::optional<solder::PlacementList>> placement_list_of(const job::Job& job, const input::Csv* parts_list);

/// Parts that a placing step installs and that the job puts nowhere stand where the list has them: on the board as its
/// card draws it, top side at its height, bottom side at z = 0 and turned over about x. x and y are from the origin of
/// the board's card, as seen from the top, for both sides. A board without place or height leaves them unplaced.
void place_from_list(job::Job& job, const catalogue::Catalogue& cards, const solder::PlacementList& list);

/// Where the list and the job do not agree: parts missing or left over, package or side, a mirrored or shifted list, places
/// that no board of its size holds.
std::vector<plan::Finding> list_against_job(const rules::Facts& facts, const solder::PlacementList& list);

}  // namespace handlot::pipeline
