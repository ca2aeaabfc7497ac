// window.h: what a curve is held against: the paste's window, the parts' limits, and both as one list.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/quantity.h"
#include "core/source.h"

namespace handlot::reflow {

enum class FigureKind {
  rise,         ///< K/s, steepest rise, least squares over `window`; up to `until`, if that is set
  rise_above,   ///< K/s, mean from `level` to the first peak
  soak,         ///< s, rising from `level` to `level2`
  above,        ///< s at or above `level`
  near_peak,    ///< s within `within` of the curve's own peak
  peak,         ///< degC
  fall,         ///< K/s, steepest fall, least squares over `window`; negative; while above `until`, if that is set
  fall_mean,    ///< K/s, mean from the last peak down to `level`; negative
  time_to_peak  ///< s from `level` (25 degC) to the first peak
};
std::string_view word(FigureKind kind);
/// "K/s", "s" or "degC".
std::string_view unit(FigureKind kind);

/// One figure and the bounds that somebody sets on it.
///
/// Units    low and high in unit(kind).
struct Criterion {
  FigureKind kind = FigureKind::peak;
  Celsius level{0};
  Celsius level2{0};
  Kelvin within{5};
  Seconds window{10};
  std::optional<Celsius> until;  ///< of a fall: from the peak down to it; of a rise: up to it
  std::optional<double> low;
  std::optional<double> high;
  std::string who;  ///< "paste sac305-window", "part U3 (Tc of its package)"
  Source source;
  bool spoils = false;  ///< outside it units are lost: the peak, the time above liquidus, what a part bears
};
/// "time above 217 degC".
std::string describe(const Criterion& criterion);

/// A range as a card gives it; an end that is not given is open.
struct Range {
  std::optional<double> low;
  std::optional<double> high;
  Source source;
};

/// What a paste asks of the curve, as its card says it. What the card leaves out is not judged.
struct PasteWindow {
  std::string id;
  std::string name;
  Celsius liquidus{217};
  Source liquidus_source;
  std::optional<Range> rise;     ///< K/s
  std::optional<Range> preheat;  ///< K/s, asked of the rise up to `preheat_to` alone
  std::optional<Celsius> preheat_to;  ///< liquidus, if the card does not say
  bool straight_ramp = false;  ///< its sheet takes a straight ramp to the peak, too: a short soak is none too short
  Celsius soak_from{150};
  Celsius soak_to{200};
  std::optional<Range> soak;          ///< s
  std::optional<Range> above;         ///< s above liquidus
  std::optional<Range> peak;          ///< degC
  std::optional<Range> near_peak;     ///< s within 5 K of the curve's own peak
  std::optional<Range> fall;          ///< K/s, both ends negative: low = steepest allowed
  std::optional<Range> time_to_peak;  ///< s from 25 degC
  Seconds slope_window{10};
};

/// What one part bears.
struct PartLimit {
  std::string part;
  std::optional<Celsius> peak;     ///< body limit or Tc
  std::optional<Seconds> near_tc;  ///< longest time at or above Tc - 5 K
  std::optional<Range> above;      ///< s above `above_level`
  Celsius above_level{217};
  std::optional<KelvinPerSecond> rise;
  std::optional<int> passes;  ///< heatings over liquidus that it bears
  Source source;
};

/// Package classification by J-STD-020; the revision is a field, since revisions differ.
enum class Revision { c, d1, e };
enum class Process { lead_free, tin_lead };
struct Body {
  Millimetres thickness;
  CubicMillimetres volume;  ///< without leads, balls, lands and heat sinks that are not part of the body
};
struct Classification {
  Celsius tc;
  Seconds within_5k;  ///< tp: the user stays at or below Tc, and at or above Tc - 5 K for at most this long
  Celsius liquidus;
  Celsius soak_from, soak_to;
  Range soak;                          ///< s
  Range above;                         ///< s
  Range time_to_peak;                  ///< s
  KelvinPerSecond rise_max, fall_max;  ///< as positive numbers
  Source source;                       ///< of the profile rows
  Source tc_source;                    ///< of the Tc cell
};
/// Given    thickness and volume > 0.
/// Returns  the row of the table; a body of exactly 2.5 mm takes the lower Tc (reprints differ: > and >=).
Classification classify(Body body, Process process, Revision revision = Revision::d1);
/// The part's limit as the user of the part must keep it: peak <= Tc, time at or above Tc - 5 K at most tp.
PartLimit limit_of(std::string part, const Classification& classification);

/// Does the paste's card say how hot, or how long over liquidus, at the least? Where not, that it melts at all is judged.
bool says_melting(const PasteWindow& paste);

/// The paste's window and all part limits as one list, in the order given; `passes` is not a figure of the
/// curve and stays with the parts.
std::vector<Criterion> criteria(const PasteWindow& paste, const std::vector<PartLimit>& parts = {});

/// Our own windows for a small oven [practice], by alloy family: "sac305", "sn63", "snbiag". Nothing else.
std::optional<PasteWindow> practice_window(std::string_view family);

}  // namespace handlot::reflow
