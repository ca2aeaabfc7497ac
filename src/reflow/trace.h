// trace.h: one channel's readings as the calculators take them.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/quantity.h"

namespace handlot::reflow {

/// A stretch of time in which a channel says nothing that can be trusted.
struct Gap {
  Seconds from;     ///< the last good reading before it
  Seconds to;       ///< the first good reading after it
  std::string why;  ///< "open junction", "no row", ...
};

/// Readings of one place, straight lines between them.
///
/// Units    seconds on the log's own clock, degrees Celsius. Bare numbers: a log has a million of them.
/// Given    `seconds` strictly rising, both of one length, all finite.
struct Trace {
  std::vector<double> seconds;
  std::vector<double> celsius;
  std::vector<Gap> gaps;

  std::size_t size() const { return seconds.size(); }
  bool empty() const { return seconds.empty(); }
};

/// The reading at a time, between samples on the straight line; the first or last reading outside the log.
/// Given a trace that is not empty.
Celsius at(const Trace& trace, Seconds time);

/// True where the readings end and the log goes on without them: the last gap lies behind the last reading.
bool goes_on(const Trace& trace);

/// The middle one of the steps between samples; 0 for fewer than two samples.
Seconds typical_step(const Trace& trace);

/// The part of a trace between two times, ends included, without interpolation at the ends.
Trace cut(const Trace& trace, Seconds from, Seconds to);

/// How much single readings scatter about the curve: the standard deviation of a reading, from differences of
/// neighbouring readings (those beyond four times their middle size are steps and do not count). 0 for fewer
/// than seven readings.
///
/// Accuracy for white noise within 10 % from 500 samples on. The curve's own bends add to it when sampling is
///          slow: a clean reflow curve read every 10 s shows some tenths of a kelvin.
Kelvin scatter(const Trace& trace);
Kelvin scatter(std::span<const double> celsius);

}  // namespace handlot::reflow
