// tool_facts.h: a tool of a card as a solid along its axis, and where in the listed order it still gets in.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "rules/rule.h"
#include "rules/siblings.h"
#include "shapes/access.h"

namespace handlot::rules {

/// Tip, shank, handle; empty: the card gives no shank.
std::optional<shapes::Tool> tool_of(const catalogue::Card& card);

/// Bodies that another step than `step` brings, or that are there from the start.
shapes::PartSet others_of(const Facts& facts, const job::Step& step, const std::vector<Sibling>& all);

/// "; as listed, the last place where it still reached is before 'close'": where the job lists `step` too late for the
/// tool. Empty where the listing is in order already. `ways` are of shapes::in_the_way_of, with all others_of the step.
std::string last_place(const Facts& facts, const job::Step& step, const std::vector<shapes::PartSet>& ways, const std::vector<Sibling>& all);

}  // namespace handlot::rules
