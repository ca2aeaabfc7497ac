// fits.h: holes and shafts, clearance holes, tolerance chains.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "core/source.h"

namespace handlot::shapes {

/// How far a real size may lie from the nominal one; both mm, signed, lower <= upper.
struct Limits {
  Millimetres lower, upper;
  Source source;
};

/// The deviations of a tolerance class, "H7" (hole) or "g6" (shaft), at a nominal size.
/// Units    answers in mm (the tables print micrometres).
/// Errors   fit-unknown-class, fit-size (0 < nominal <= 120 mm).
/// Source   ISO 286-2 tables as in iso286_fits.csv up to 30 mm for H7 h6 g6 p6 h7 H8 H9 H11; all else from memory of
///          ISO 286-1 tables 1 to 3. Bands are "over ... up to and including": 30.0 belongs to 18-30.
Result<Limits> iso286(std::string_view tolerance_class, Millimetres nominal);

struct Fit {
  enum class Kind { clearance, transition, interference };
  Kind kind = Kind::clearance;
  Millimetres least, most;  ///< gap on the diameter; negative = overlap
};
/// Worst cases of hole less shaft.
Fit fit(Millimetres hole, const Limits& hole_limits, Millimetres shaft, const Limits& shaft_limits);
/// "H7/g6 at 6 mm: clearance 0.004 to 0.024 mm".
std::string say(const Fit& fit);

enum class HoleSeries { fine, medium, coarse };
/// The clearance hole for a metric screw. Given thread diameter 1.6 to 6 mm of the coarse row.
/// Errors   fit-unknown-thread.
/// Source   ISO 273 as tabled in fasteners_metric.csv.
Result<Millimetres> clearance_hole(Millimetres thread, HoleSeries series);

/// How a shape was made, and how well the builder's own machine holds it.
struct Making {
  Millimetres tolerance;                ///< plus or minus on a size
  Millimetres bias_outer, bias_hole;    ///< what outer sizes gain and holes gain (negative: lose) on this machine
  Source source;
};
/// Starting values until the builder measures: "printed", "milled", "laser-cut", "turned", "sawn", "bought".
/// Errors   making-unknown.
Result<Making> usual_making(std::string_view word);

/// One link of a chain: a size that adds (+1) or takes away (-1) from the gap.
struct Link {
  std::string what;
  Millimetres nominal;
  Millimetres minus, plus;  ///< both >= 0
  int sign = 1;
  std::optional<Millimetres> measured;        ///< replaces the nominal
  std::optional<Millimetres> measured_error;  ///< plus or minus; none = 0
};
struct Chain {
  Millimetres nominal;           ///< of the gap, measured values in place
  Millimetres worst_low, worst_high;
  Millimetres rss_low, rss_high; ///< root of the sum of squares about the middle of the limits
};
Chain chain(const std::vector<Link>& links);

/// A gap that was asked for, against a chain: what holds always, what holds nearly always, what does not.
struct GapVerdict {
  enum class Kind { holds, likely, fails };
  Kind kind = Kind::holds;
  Chain chain;
  Millimetres asked;
};
GapVerdict judge_gap(const std::vector<Link>& links, Millimetres asked);
std::string say(const GapVerdict& verdict);

}  // namespace handlot::shapes
