// tolerance.h: does a gap hold when every size is off by what the machine leaves? (Hole and shaft tables:
// joints/fits.h.)
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "core/source.h"

namespace handlot::shapes {

/// How a shape was made, and how well the builder's own machine holds it.
struct Making {
  Millimetres tolerance;  ///< plus or minus on a size
  Source source;
};
/// Starting values until the builder measures: "printed", "milled", "laser-cut", "turned", "sawn", "bought".
/// Source   printed: PRINTING (read); the others common practice.
/// Errors   making-unknown.
Result<Making> usual_making(std::string_view word);

/// One link of a chain: a size that adds (+1) to the gap or takes away from it (-1).
struct Link {
  std::string what;
  Millimetres nominal;
  Millimetres minus, plus;  ///< both >= 0
  int sign = 1;
  std::optional<Millimetres> measured;        ///< replaces nominal and limits
  std::optional<Millimetres> measured_error;  ///< plus or minus; none = 0
};
struct Chain {
  Millimetres nominal;  ///< of the gap, measured values in place
  Millimetres worst_low, worst_high;
  Millimetres rss_low, rss_high;  ///< root of the sum of squares about the middle of the limits
};
Chain chain(const std::vector<Link>& links);

/// A gap that was asked for, against a chain: holds in the worst case; holds nearly always; does not.
struct GapVerdict {
  enum class Kind { holds, likely, fails };
  Kind kind = Kind::holds;
  Chain chain;
  Millimetres asked;
};
GapVerdict judge_gap(const std::vector<Link>& links, Millimetres asked);
/// "0.3 mm asked: 0.1 to 0.7 mm at worst, 0.22 to 0.58 mm nearly always".
std::string say(const GapVerdict& verdict);

}  // namespace handlot::shapes
