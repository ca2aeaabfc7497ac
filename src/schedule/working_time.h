// working_time.h: hands-on work in shop hours, as a rule for the learning engine.
#pragma once

#include "engine/state.h"
#include "schedule/shop_hours.h"

namespace handlot::schedule {

/// hands_end is when work of `length` begun at `start` is done, and `start` is a moment at which such work
/// can begin:
///
///     start  -->  f(start) = hands_end        f never falls, so bounds of one side give bounds of the other
///
/// holds while `when` does; where it cannot hold, `when` fails.
struct WorkingTimeRow {
  engine::Var start;
  engine::Var hands_end;
  Time length = 0;
  bool may_pause = false;
  engine::Literal when = engine::kAlways;
  bool exact = true;  ///< false: only hands_end >= f(start)
};

/// One row, one propagator. Reasons are single bounds, widened over the closed hours: "at or after the last
/// minute of Tuesday" gives "at or after Wednesday's opening".
class WorkingTime final : public engine::Propagator {
 public:
  /// Given    `hours` outlives the solver; times stay under engine::kFar.
  static void post(engine::State& state, const ShopHours& hours, const WorkingTimeRow& row);

  bool propagate(engine::State& state) override;
  void explain(const engine::Trail&, engine::Literal, std::int32_t, engine::Reason,
               std::vector<engine::Literal>&) const override {}  // reasons are written at once
  std::string_view name() const override { return "working time"; }

 private:
  WorkingTime(const ShopHours& hours, const WorkingTimeRow& row) : hours_(hours), row_(row) {}

  bool conclude(engine::State& state, engine::Literal then, engine::Literal because) const;
  bool start_in_hours(engine::State& state) const;
  bool ends_follow(engine::State& state) const;
  bool starts_follow(engine::State& state) const;
  bool refute(engine::State& state) const;

  Time next(Time from) const { return hours_.start_from(from, row_.length, row_.may_pause); }
  Time last(Time until) const { return hours_.start_until(until, row_.length, row_.may_pause); }
  Time end(Time start) const { return hours_.end_of(start, row_.length, row_.may_pause); }
  Time last_for_end(Time at) const { return hours_.start_for_end(at, row_.length, row_.may_pause); }

  const ShopHours& hours_;
  WorkingTimeRow row_;
};

}  // namespace handlot::schedule
