// windows.h: a variable that may only lie in given windows: shop hours, holidays, a domain with holes.
#pragma once

#include <span>
#include <vector>

#include "engine/solver.h"

namespace handlot::engine {

struct Window {
  std::int32_t from = 0, to = 0;  ///< both ends allowed
};

/// While `when` holds, x lies in one of the windows. If x cannot, `when` fails.
///
///     hands-on work of 30 min in a shift 480..720:   its start lies in [480, 690]
///
/// Given    windows in any order; those that touch or overlap are joined. An empty list forbids `when`.
/// Cost     log(windows) a call.
void require_windows(Solver& solver, Var x, std::vector<Window> windows, Literal when = kAlways);

/// The propagator behind it: a bound inside a hole moves to the hole's end, because it was past its
/// beginning.
class Windows final : public Propagator {
 public:
  Windows(Var x, std::vector<Window> windows, Literal when);
  static void post(State& state, Var x, std::vector<Window> windows, Literal when);

  bool propagate(State&) override;
  void explain(const Trail&, Literal what, std::int32_t position, Reason reason,
               std::vector<Literal>& because) const override;
  std::string_view name() const override { return "windows"; }

 private:
  struct Hole {
    std::int32_t begin, end;  // first and last value forbidden
  };
  std::int32_t hole_at(std::int32_t value) const;

  std::int32_t number_ = -1;
  Var x_;
  List<Hole> holes_;  // rising; the first begins at -kFar, the last ends at kFar
  Literal when_;
};

}  // namespace handlot::engine
