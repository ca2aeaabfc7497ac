// order.h: from links and choices to one order, or to the shortest chain of reasons why there is none.
#pragma once

#include <span>
#include <string>
#include <unordered_map>
#include <vector>

#include "core/id.h"
#include "core/quantity.h"
#include "plan/constraint.h"

namespace handlot::graph {

/// A step as the order sees it. `shortest` is the least time one unit spends in it.
struct Node {
  StepId step;
  Duration shortest{0};
};

/// Why there is no order. `chain` closes on itself: each link leads to the next, the last to the first.
struct Contradiction {
  std::vector<plan::Constraint> chain;
  /// When no option of a choice holds: the choice, and a chain for each further option.
  std::string choice;
  std::vector<std::vector<plan::Constraint>> further;
  bool lags = false;  ///< the order holds, but the waits do not fit into the latest ends
};

struct Order {
  std::vector<StepId> sequence;               ///< every step, predecessors first, else as listed
  std::vector<plan::Constraint> constraints;  ///< given and chosen, by place in the sequence; redundant ones marked
  int branches = 0;                           ///< how often a choice had to be tried
};

struct Answer {
  enum class Status { found, contradiction, stopped };
  Status status = Status::found;
  Order order;                  ///< when found
  Contradiction contradiction;  ///< when contradiction
};

/// Finds an order that keeps every link and at least one option of every choice.
///
///   links + choices --> propagate what is forced --> try the preferred option --> ... --> transitive reduction
///
/// Given    nodes in the order of the job file, ids unique; links and options name known steps.
///          Choices are settled in the order given: put the weakest last.
/// Returns  stopped when `limit` tries did not settle all choices.
/// Cost     about n*n/64 words a link for n steps; choices that propagation decides cost no try.
/// Source   AND/OR precedence as choices: Moehring, Skutella, Stork, SIAM J. Comput. 33 (2004) [memory].
Answer find_order(std::span<const Node> nodes, std::span<const plan::Constraint> links, std::span<const plan::Choice> choices, int limit);

/// Which steps come before which in every schedule that keeps the links.
class Closure {
 public:
  Closure(std::span<const StepId> steps, std::span<const plan::Constraint> links);
  bool before(const StepId& a, const StepId& b) const;
  /// The links of a shortest chain from a to b; empty when a is not before b.
  std::vector<plan::Constraint> chain(const StepId& a, const StepId& b) const;

 private:
  std::vector<StepId> steps_;
  std::vector<plan::Constraint> links_;
  std::vector<std::vector<bool>> reach_;
  std::unordered_map<StepId, std::size_t> number_;  // looked up, never walked
  std::size_t index(const StepId& id) const;
};

}  // namespace handlot::graph
