// look_first.h: where a fault of the first piece shows only in a later step, the other units wait for that look.
#pragma once

#include <vector>

#include "plan/plan.h"
#include "rules/rule.h"

namespace handlot::pipeline {

/// What an oven did to its first board is seen when its joints are looked at. Nothing where that look is of the whole lot, or
/// comes only after something that can't be undone, or more than an hour of waiting later: that is said in a note.
/// Common practice, no source.
///
/// Given    steps and constraints of the work.
/// Cost     steps x constraints.
std::vector<plan::LookFirst> looks_of(const rules::Facts& facts, const plan::Work& work, std::vector<plan::Finding>& findings);

/// The note that the others of the lot do not wait for that look.
plan::Finding not_looked_at(const StepId& oven, const StepId& look, const std::string& why, std::string mend, const Place& place);

enum class Ahead {
  from_oven,   ///< unit 1 goes alone from the repeated step to the look
  from_paste,  ///< already in the steps whose clocks run until the repeated one: nothing else lies open while it is looked at
  not_at_all   ///< the others do not wait
};

/// Puts the looks into the work, and unit 1 alone into the steps on their way.
void send_first(plan::Work& work, const std::vector<plan::LookFirst>& looks, Ahead ahead);

}  // namespace handlot::pipeline
