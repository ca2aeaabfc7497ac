// parts_list.h: the parts list that comes with a board, held against the parts of the job.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/diagnostic.h"
#include "input/csv.h"
#include "plan/plan.h"
#include "rules/rule.h"
#include "solder/placement_list.h"

namespace handlot::pipeline {

/// The parts list that the job names; none where it names none.
///
/// Errors   those of reading the table.
Result<std::optional<input::Csv>> parts_list_of(const job::Job& job);

/// Where the parts list and the job do not agree (rule "parts-list"): references of one that the other
/// has not, references listed twice, quantities that are not those of their line; values and packages that are surely others
/// than in the placement list (packages: than on the card, where that list has none).
///
/// Given    a table with a column for references (ref, refs, reference, designator...; in a cell what references_in reads),
///          and where it has them quantity (of one unit or of the lot), value (comment), package (footprint), fitted or DNP.
/// Errors   parts-list-columns.
Diagnostics compare_parts_list(const rules::Facts& facts, const input::Csv& table, const solder::PlacementList* places, std::vector<plan::Finding>& findings);

/// Values as listed, by reference as the job writes it.
std::map<std::string, std::string> values_in(const job::Job& job, const input::Csv& table);

}  // namespace handlot::pipeline
