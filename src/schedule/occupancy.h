// occupancy.h: a resource of several places, held from a start to a release that may be a variable of its
// own.
#pragma once

#include <vector>

#include "engine/state.h"
#include "schedule/shop_hours.h"

namespace handlot::schedule {

/// Holds `demand` places in [start, release + after).
struct Holding {
  engine::Var start;
  engine::Var release;
  Time after = 0;
  int demand = 1;
  engine::Literal present = engine::kAlways;
};

/// At no moment more than `capacity` in use. Only what must be in use is added up (from the latest start to
/// the earliest release): it never pushes, it refuses; engine::require_capacity with the least durations
/// beside it pushes.
///
/// Cost     holdings squared a call, at worst.
class Occupancy final : public engine::Propagator {
 public:
  static void post(engine::State& state, std::vector<Holding> holdings, int capacity);

  bool propagate(engine::State& state) override;
  void explain(const engine::Trail&, engine::Literal, std::int32_t, engine::Reason,
               std::vector<engine::Literal>&) const override {}  // reasons are written at once
  std::string_view name() const override { return "occupancy"; }

 private:
  Occupancy(std::vector<Holding> holdings, int capacity)
      : holdings_(std::move(holdings)), capacity_(capacity) {}
  bool overload(engine::State& state, Time moment) const;

  std::vector<Holding> holdings_;
  int capacity_;
};

}  // namespace handlot::schedule
