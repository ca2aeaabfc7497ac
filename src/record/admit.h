// admit.h: may this line be written? The links of the plan, hold points, limits, and what a correction may
// strike.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "plan/plan.h"
#include "record/state.h"

namespace handlot::record {

/// Something that stands against a step for one unit.
struct Obstacle {
  enum class Kind {
    order,     ///< an earlier step is not done
    wait,      ///< an earlier step is done, but not long enough ago: cure, air that clears, a hot tool that cools
    doubt,     ///< long enough by the clock's word only: the builder must say whether the clock is right
    late,      ///< the latest end has passed
    apart,     ///< another step may not run beside it
    place,     ///< station or fixture is in use, held, or not to be had; or more units at once than the plan lets through
    person,    ///< nobody is there who may do it; whoever comes and begins it works, without a word
    first,     ///< the first piece is not done and checked
    check,     ///< a hold or a check has no value or tick yet
    limit,     ///< a value is outside its limits
    scrapped,  ///< the unit is not in the lot any more
    already    ///< is in hand or done
  };
  Kind kind = Kind::order;
  int unit = 0;
  StepId other;       ///< the earlier step, where there is one
  std::string text;   ///< a sentence without full stop
  double wait_s = 0;  ///< for Kind::wait: proven seconds still to go; for Kind::place and Kind::person: until it is free, they are back; 0 = nobody knows
  /// The builder may write a reason and do it all the same; the reason stays in the record. Never for a check
  /// without its value, for a scrapped unit, or for what is done already.
  bool may_insist() const { return kind != Kind::check && kind != Kind::scrapped && kind != Kind::already; }
};

/// When a step was last out on the bench, by any unit of the lot: its vapour, its hot tool.
struct LastOut {
  bool going_on = false;
  std::optional<Moment> ended;
};
LastOut last_out(const State& state, const StepId& step);

/// Of a hold that runs by itself after the hands, a value from before the run may be of its setting, and not of what came out.
bool before_the_run(const plan::Step& step, const Cell& cell, const plan::Check& check, const Entry& entry);

/// What stands against beginning (Edge::start) or finishing (Edge::end) a step for a unit (0 = the whole
/// lot).
std::vector<Obstacle> obstacles(const plan::Plan& plan, const State& state, const plan::Step& step, int unit,
                                plan::Edge edge, const Moment& now);

/// Goes by without anybody's work: a wait, a place that is taken, an absence.
bool passes_by_itself(const Obstacle& obstacle);
/// Nothing but time, for a step, its place or its people.
bool only_time_is_missing(const std::vector<Obstacle>& obstacles);

/// Seconds in which a line may be undone with one touch [practice].
inline constexpr double kUndoSeconds = 10;

/// `item` of a rework that goes on although the unit is closed for good; its text says how it is reached.
inline constexpr std::string_view kReached = "reached";

/// What is wrong with writing `line` now. Empty: it may be written.
/// Errors  record-no-step, record-no-unit, record-no-check, record-no-resource, record-no-way-back, record-refused (one for each
///         obstacle that the words of the line do not outweigh), record-strike, record-undo-late
Diagnostics refuse(const plan::Plan& plan, const State& state, std::span<const Event> lines,
                   const Event& line, const Moment& now);

}  // namespace handlot::record
