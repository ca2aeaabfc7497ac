// screw_facts.h: what a screw is and what it bites in, in the words of the tables.
#pragma once

#include <optional>
#include <string>

#include "joints/screws.h"
#include "rules/rule.h"

namespace handlot::rules {

/// Size of its thread; empty for a thread the tables do not hold.
std::optional<joints::MetricSize> metric_size(const catalogue::Card& screw);
/// "steel", "brass", "aluminium", "plastic", "insert", "wood"; empty: not said.
std::string parent_row(const Facts& facts, const job::Part& screw);
std::optional<joints::Parent> parent_of(const Facts& facts, const job::Part& screw);
/// Set by turning, not drawn down: a set screw, or one that is named for what it adjusts.
bool adjusts(const Facts& facts, const job::Part& screw);
/// Thickness of what it clamps, where the job says it (<measured what="grip" is="3 mm"/>).
std::optional<Millimetres> grip_of(const job::Part& screw);

}  // namespace handlot::rules
