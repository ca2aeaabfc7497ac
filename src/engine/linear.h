// linear.h: a weighted sum that stays under a limit.
#pragma once

#include <span>
#include <vector>

#include "engine/solver.h"

namespace handlot::engine {

struct Term {
  std::int32_t weight = 1;  ///< may be negative
  Var x;
};

/// While `when` holds, sum of weight * x is at most `limit`. If it cannot be, `when` fails.
/// Given    the sum of |weight| * |bound| stays under 9e18.
/// Cost     one pass over the terms a call.
void require_at_most(Solver& solver, std::span<const Term> terms, std::int64_t limit, Literal when = kAlways);

/// The sum is exactly `total`: two of the above. For counts and costs to be minimised.
void require_sum(Solver& solver, std::span<const Term> terms, Var total);

/// The propagator behind it. Slack in a reason is used up to ask less of the terms known latest.
class Linear final : public Propagator {
 public:
  static void post(State& state, std::span<const Term> terms, std::int64_t limit, Literal when);

  bool propagate(State&) override;
  void explain(const Trail&, Literal what, std::int32_t position, Reason reason,
               std::vector<Literal>& because) const override;
  std::string_view name() const override { return "linear"; }

 private:
  struct Part {  // weight > 0; a negative one is turned round by looking at x from the other side
    std::int64_t weight;
    View view;
  };
  void reasons(const Trail& trail, std::int32_t but, std::int64_t over, std::int32_t position,
               std::vector<Literal>& because) const;

  std::int32_t number_ = -1;
  List<Part> parts_;
  std::int64_t limit_ = 0;
  Literal when_;
};

}  // namespace handlot::engine
