// figures.h: what a reflow curve comes to, figure by figure. Straight lines between readings, no smoothing.
#pragma once

#include <optional>
#include <vector>

#include "reflow/trace.h"

namespace handlot::reflow {

struct Peak {
  Celsius temperature;
  Seconds first;  ///< when it is first reached
  Seconds last;   ///< when it is last reached
};
/// Given a trace that is not empty.
Peak peak(const Trace& trace);

struct Crossing {
  Seconds time;
  bool up = true;
};
/// Every time at which the curve passes `level`, in order; a reading on the level counts as above.
std::vector<Crossing> crossings(const Trace& trace, Celsius level);

/// Crossings that count: the curve must get `band` beyond the level before it can cross back. The time is
/// that of the first plain crossing of each swing.
std::vector<Crossing> settled_crossings(const Trace& trace, Celsius level, Kelvin band = Kelvin(1.0));

/// All time spent at or above `level`, by interpolated crossings (not last minus first, not a count of
/// samples).
Seconds time_above(const Trace& trace, Celsius level);

/// Time from first passing `from` upward to first passing `to` upward; nothing if either is not passed.
std::optional<Seconds> rise_time(const Trace& trace, Celsius from, Celsius to);
/// When `level` is first reached from below; the first reading's time if the log starts above.
std::optional<Seconds> first_reach(const Trace& trace, Celsius level);
/// When `level` is last left downward; nothing if it never is.
std::optional<Seconds> last_leave(const Trace& trace, Celsius level);

/// Where the rise to the peak begins: the last time before it that the board lies below 40 degC and warms by less than
/// 1.5 K in half a minute [practice]. Nothing where the log does not show it at rest.
std::optional<Seconds> rise_begins(const Trace& trace);

/// Area between the curve and `level` where the curve is above, in K s.
double area_above(const Trace& trace, Celsius level);
/// The same, only up to `until`.
double area_above(const Trace& trace, Celsius level, Seconds until);

struct Slope {
  KelvinPerSecond value;
  Seconds from;
  Seconds to;
};
struct SlopeRange {
  Slope steepest_rise;  ///< largest
  Slope steepest_fall;  ///< smallest
};
/// Steepest slopes by least squares through all readings of a window of `window`, slid reading by reading.
/// Windows that hold a gap, or fall short of `window` by a whole step, are passed over. Where readings lie
/// further apart than the window, neighbouring readings are taken. Nothing for fewer than two readings. Cost
/// linear.
std::optional<SlopeRange> least_squares_slopes(const Trace& trace, Seconds window);
/// The same by the secant between readings `window` apart.
std::optional<SlopeRange> secant_slopes(const Trace& trace, Seconds window);

/// 100 (m - middle) / half width: 0 in the middle of the window, +-100 on its edges, signed.
/// Given    low < high.
/// Source   process window index, worked example 188 in 180-220 -> -60 %: see docs/reference/sources.md.
Percent window_share(double measured, double low, double high);

}  // namespace handlot::reflow
