// cable_facts.h: what a cable bears.
#pragma once

#include <optional>

#include "catalogue/catalogue.h"

namespace handlot::rules {

/// The smallest inside radius: the card's own figure, else six times the outer diameter for a cable at rest.
/// Source   6 x outer diameter at rest, 10 x moving: harness handbook, routing and securing (read).
std::optional<catalogue::Sourced<Millimetres>> least_bend(const catalogue::Card& card);

}  // namespace handlot::rules
