// placing.h: the placing pages of a job: in which order a hand fills the wet boards, with a drawing a bag.
#pragma once

#include <vector>

#include "core/diagnostic.h"
#include "plan/plan.h"
#include "rules/rule.h"
#include "solder/placement_list.h"

namespace handlot::pipeline {

/// For each step that places parts: a page with bags in order, references, marks and a box a unit, and a drawing for each bag.
/// Places come from the placement list, if there is one, else from where the job puts the parts; a step of which neither is
/// known gets no page. What list and job do not agree on is found (rule "placement-list").
void add_placing_pages(const rules::Facts& facts, const solder::PlacementList* list, plan::Plan& plan, std::vector<plan::Finding>& findings);

}  // namespace handlot::pipeline
