// seals.h: how far an O-ring is squeezed in its groove, how much of the groove it fills, how far it is stretched.
#pragma once

#include "core/quantity.h"
#include "core/source.h"

namespace handlot::joints {

/// Between two faces that are drawn together; about a shaft or in a bore; the same, where one of the two turns or slides.
enum class SealKind { face, radial, moving };

/// Shares of the cord's diameter. Outside `least` to `most` it leaks or is overloaded, between the usual ends it is as the makers
/// draw it.
struct SqueezeWindow {
  double least, usual_least, usual_most, most;
  Source source;
};
/// Source   under a tenth it may leak: ORINGRATE (read), which prints 20 to 28 % for faces, 15 to 22 % for other static seals and 10 to 15 %
///          for sliding ones; the wider ends here are those of seal handbooks (memory).
SqueezeWindow squeeze_window(SealKind kind);

/// Below 0: the groove is deeper than the cord.
/// Given    cord > 0.
double squeeze(Millimetres cord, Millimetres depth);

/// The share of a rectangular groove that the cord fills. Rubber gives way and is not compressed: above 1 the groove does not close.
/// Given    depth and width > 0.
double groove_fill(Millimetres cord, Millimetres depth, Millimetres width);
/// Above the first a ring that swells or gets warm may fill the groove (ORINGRATE, read), above the second it nearly does (memory).
inline constexpr double kFullGroove = 0.85, kTightGroove = 0.95;

/// How far a ring of that inner diameter is stretched over a floor of the other; below 0: it lies loose.
/// Given    inner > 0.
double stretch(Millimetres inner, Millimetres over);
/// More than this thins the cord and lets it age sooner (seal handbooks, memory).
inline constexpr double kMostStretch = 0.05;

}  // namespace handlot::joints
