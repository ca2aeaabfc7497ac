// fits.h: ISO 286 limits from the table, printed-part clearances, inserts and bosses.
#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "joints/cite.h"
#include "joints/screws.h"

namespace handlot::joints {

/// Limit deviations of one band, micrometres. The band is over `over` up to and including `upto` millimetres.
struct Iso286Band {
  double over, upto;
  int H7, H8, H9, H11;      ///< upper deviation of the hole; the lower is 0
  int h6, h7;               ///< lower deviation of the shaft; the upper is 0
  int g6_low, g6_high, p6_low, p6_high;
  Cite cite;                ///< of H7 and h6
};
/// Source   H7 and h6 ISO286 (read); g6 and p6 at 25 and 50 mm (read), the rest (memory). The i-formula is not used: it
///          gives 14 for 15 um at 6 to 10 mm.
std::span<const Iso286Band> iso286_bands();
std::optional<Iso286Band> iso286_band(Millimetres nominal);

struct Limits {
  int low;   ///< micrometres
  int high;
};
/// Limits of a tolerance class, "H7", "g6".
/// Errors   fit-unknown: not in the table (up to 50 mm; H7 H8 H9 H11 h6 h7 g6 p6).
Result<Limits> iso286(Millimetres nominal, std::string_view tolerance_class);
/// Least and most clearance of "H7/g6", micrometres; negative is interference.
Result<Limits> fit_clearance(Millimetres nominal, std::string_view hole, std::string_view shaft);

/// Clearance a side that a printed fit wants. Source: PRINTING (read): press 0.05-0.15, slide 0.2-0.3, loose 0.3-0.5.
enum class PrintedFit { press, slide, loose };
struct ClearanceRange {
  Millimetres least;
  Millimetres most;
};
ClearanceRange printed_clearance(PrintedFit fit);
/// What a hole or peg becomes on a printer, worst case: nominal plus bias, plus and minus its own capability.
struct PrinterRecord {
  Millimetres hole_bias{-0.2};  ///< holes print small: -0.1 to -0.3, PRINTING (read)
  Millimetres outer_bias{0.1};  ///< +0.05 to +0.15 (read)
  Millimetres spread{0.1};      ///< of a tuned machine; +-0.2 untuned (read)
};
/// Clearance a side that comes out when a peg goes into a hole, both printed.
ClearanceRange printed_result(Millimetres hole, Millimetres peg, const PrinterRecord& printer);

/// Heat-set inserts.
struct Insert {
  std::string_view thread;
  Millimetres hole;         ///< pilot
  Millimetres printed_hole; ///< with the shrink of a printed hole, 0 = not published
  Millimetres outer;        ///< widest
  Millimetres boss;         ///< outer diameter of the boss
  Cite cite;
};
std::span<const Insert> inserts();
/// Pocket for an insert of `length`: the larger of length + 0.5 mm and length + 2 pitches (two sources disagree).
Millimetres insert_pocket(Millimetres length, const MetricSize& size);

/// A boss for a thread-forming screw.
struct Boss {
  Millimetres engagement;
  Millimetres hole_depth;
  Millimetres outer_least;
  Millimetres outer_most;
};
/// Source   REMFORM (read): polycarbonate 2.0 d and 2.7 d, others 2.3 d and 2.9 d, outer 2.0 to 2.5 d.
Boss boss_for(const MetricSize& size, std::string_view material);

}  // namespace handlot::joints
