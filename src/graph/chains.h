// chains.h: shortest chains and closed chains of links.
#pragma once

#include <optional>
#include <vector>

#include "graph/order.h"

namespace handlot::graph {

/// A link between step numbers.
struct Arc {
  std::size_t from;
  std::size_t to;
  const plan::Constraint* link;
};

/// The fewest arcs that lead from a to b, in order; empty when none do. Ties: the arcs that come first.
std::vector<Arc> shortest_chain(std::size_t n, const std::vector<Arc>& arcs, std::size_t a, std::size_t b);

/// The fewest arcs that close on themselves; empty when there is no cycle.
std::vector<Arc> shortest_cycle(std::size_t n, const std::vector<Arc>& arcs);

/// A closed chain of minimum and maximum lags that no times can keep, each link with the one of its two that counts there;
/// empty when there is none.
std::vector<plan::Constraint> lag_cycle(const std::vector<Node>& nodes, const std::vector<plan::Constraint>& links);

}  // namespace handlot::graph
