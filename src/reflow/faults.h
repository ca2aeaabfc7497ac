// faults.h: what is wrong with a log that still reads well.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "reflow/log.h"

namespace handlot::reflow {

enum class FaultKind {
  noise,          ///< zig-zag: a loose junction or a picked-up hum
  open_junction,  ///< the reading says so, or falls faster than a board can cool
  range_ends,     ///< a top cut off flat: the logger reads no higher
  frozen,         ///< the same figure again and again while others move
  drift,          ///< channels disagree before the heat comes on
  follows_air,    ///< a board channel that moves with the air: its junction has lifted
  warm_start,     ///< the log starts above 40 degC, or (set by judge) rests well above the room
  cold_start,     ///< a board channel starts below the room (set by judge): its zero is off
  stops_short,    ///< the log ends while the curve still rises
  two_passes      ///< the board melts, cools and melts again (set by judge)
};
std::string_view word(FaultKind kind);

struct Fault {
  FaultKind kind = FaultKind::noise;
  std::size_t channel = 0;
  Seconds from;
  Seconds to;
  bool spoils = false;  ///< readings between from and to are not to be trusted (they become a gap)
  std::string text;     ///< a sentence
};

/// Limits the faults are named by. [practice]; docs/why/reflow-faults.md.
struct FaultLimits {
  Kelvin scatter{0.8};
  KelvinPerSecond falls{8.0};   ///< a board in an oven does not cool faster
  KelvinPerSecond rises{12.0};  ///< nor heat faster
  Kelvin start_disagreement{3.0};
  Seconds air_lag{6.0};  ///< a board's time constant is longer
  Celsius warm{40.0};
  Kelvin below_room{5.0};
  Kelvin above_room{10.0};
  Seconds frozen{45.0};
};

/// All faults, by channel, then time.
std::vector<Fault> find_faults(const Log& log, const FaultLimits& limits = {});

/// Board channels that start further below the room than a thermocouple errs: nothing in the room is colder than it.
std::vector<Fault> cold_starts(const Log& log, Celsius room, const FaultLimits& limits = {});

/// Board channels that rest well above the room before the heat comes on, though not above `warm`.
std::vector<Fault> warm_rests(const Log& log, Celsius room, const FaultLimits& limits = {});

}  // namespace handlot::reflow
