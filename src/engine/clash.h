// clash.h: of many wishes that cannot all be had, a smallest set that already cannot.
#pragma once

#include <span>

#include "engine/solver.h"

namespace handlot::engine {

struct Clash {
  std::vector<Literal>
      literals;           ///< cannot hold together; empty = the model is impossible without any of them
  bool smallest = false;  ///< leaving out any one of them makes the rest possible
  bool exists = false;    ///< false: all wishes can be had, or the limit came before an answer
  Effort effort;
};

/// Give each constraint that a person could give up a literal (`lag(..., when)`), and ask about all of them.
///
/// Starts from the clash that the solver names and leaves out one literal after another (deletion): if the
/// rest still clashes, it was not needed. The first of `wishes` are tried first: put there what a person can
/// least well give up, and the clash speaks of the others where it can. Given    `limits` holds for the whole
/// of it. Returns  literals in the order of `wishes`. Cost     one search for each literal of the first
/// clash.
Clash smallest_clash(Solver& solver, std::span<const Literal> wishes, Limits limits = {});

}  // namespace handlot::engine
