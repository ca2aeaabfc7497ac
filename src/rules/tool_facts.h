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

/// "; as listed, the last place where it still reached is before 'close'": where the job lists `step` too late for the
/// tool. Empty where the listing is in order already. What stands in the way: `all` but `mine`.
std::string last_place(const Facts& facts, const job::Step& step, const shapes::Tool& tool, const shapes::Spot& spot, const std::vector<Sibling>& all, const shapes::PartSet& work);

}  // namespace handlot::rules
