// parts_list.h: the parts list that comes with a board, held against the parts of the job.
#pragma once

#include <vector>

#include "core/diagnostic.h"
#include "plan/plan.h"
#include "rules/rule.h"

namespace handlot::pipeline {

/// Where the parts list that the job names and the job do not agree (rule "parts-list"): references of one that the other
/// has not, references listed twice, quantities that are not those of their line. Silent where the job names no list.
///
/// Given    a table with a column for references (ref, refs, reference, designator...; "R1 R2", "R1,R2" or "R1-R9" in a
///          cell), and where it has them quantity (of one unit or of the lot), value, fitted or DNP.
/// Errors   parts-list-columns, and those of reading the table.
Diagnostics add_parts_list(const rules::Facts& facts, std::vector<plan::Finding>& findings);

}  // namespace handlot::pipeline
