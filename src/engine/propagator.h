// propagator.h: what every constraint offers the engine.
#pragma once

#include <string_view>
#include <vector>

#include "engine/trail.h"

namespace handlot::engine {

class State;

/// A constraint that draws conclusions from bounds and can say later why it drew one.
///
/// A propagator is heard in one of two ways. A *prompt* one is told of every single bound raised, in order
/// (`on_raise`): lags and clauses, which are cheap and many. All others subscribe to views and are called
/// once after the prompt ones have come to rest (`propagate`), cheapest rank first.
class Propagator {
 public:
  virtual ~Propagator() = default;

  /// Prompt propagators only. Returns false after State has been given a conflict.
  virtual bool on_raise(State&, const Entry&) { return true; }

  /// Draws conclusions from the bounds that hold now. Returns false after State has been given a conflict.
  virtual bool propagate(State&) { return true; }

  /// Why did `what` come to hold?
  ///
  /// Given    this propagator made entry `position` with `reason`; `what` is of the entry's view, with a
  /// bound
  ///          above the entry's `before` and at most the one made. Asking for less allows a weaker, hence
  ///          more general, reason.
  /// Returns  appended to `because`: literals that together force `what`, all holding before `position`.
  virtual void explain(const Trail&, Literal what, std::int32_t position, Reason reason,
                       std::vector<Literal>& because) const = 0;

  virtual std::string_view name() const = 0;
};

}  // namespace handlot::engine
