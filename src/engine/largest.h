// largest.h: the largest of several variables, and a task done in exactly one of several ways.
#pragma once

#include <span>
#include <vector>

#include "engine/task.h"

namespace handlot::engine {

struct Candidate {
  Var x;
  Literal present = kAlways;  ///< counts only if this holds
};

/// y is the largest x of the present candidates. Without any present candidate y is only bounded by its
/// domain from above by the largest x that could have been: make sure one is present.
void require_largest(Solver& solver, Var y, std::span<const Candidate> candidates);

/// If `present` holds, exactly one of `ways` is present, and starts when `start` does; if it fails, none is.
/// Stations, batch sizes, fixtures: one way each, with its own duration and resources.
void require_one_way(Solver& solver, Var start, Literal present, std::span<const Candidate> ways);

/// The propagator behind both: `y` (a view) is at most the largest of the present views.
class Largest final : public Propagator {
 public:
  struct Choice {
    View view;
    Literal present;
  };
  static void post(State& state, View y, std::vector<Choice> choices, Literal when);

  bool propagate(State&) override;
  void explain(const Trail&, Literal what, std::int32_t position, Reason reason,
               std::vector<Literal>& because) const override;
  std::string_view name() const override { return "largest"; }

 private:
  bool rest(const Trail& trail, std::int32_t bound, std::int32_t but, std::vector<Literal>& because,
            std::int32_t position) const;

  std::int32_t number_ = -1;
  View y_ = 0;
  List<Choice> choices_;
  Literal when_;
};

}  // namespace handlot::engine
