// motion.h: a part that turns or slides through its range keeps clear of its neighbours.
#pragma once

#include <optional>
#include <vector>

#include "shapes/blocking.h"

namespace handlot::shapes {

struct Turn {
  Vec3 through;  ///< mm, a point of the axis
  Vec3 axis;     ///< unit; positive turns are right-handed about it
  Degrees from{0}, to{360};
};
struct Slide {
  Vec3 along;  ///< unit
  Millimetres from{0}, to;
};

struct Clearest {
  Millimetres gap;  ///< smallest gap found over the range
  Millimetres
      at_least;   ///< what is proven for the whole range (meshes' deflection taken off); below 0: nothing
  double at = 0;  ///< where: degrees or mm along the range
  std::size_t moving = 0, other = 0;
  Vec3 point;                           ///< mm, on the moving part
  std::optional<double> first_contact;  ///< degrees or mm, when it hits something
  bool stopped = false;                 ///< the limit was reached before the proof was as fine as asked
};

struct MotionRules {
  double fine = 0.05;         ///< mm; the proof closes to this, or to a tenth of the gap if that is more
  double contact = 0.001;     ///< mm; nearer counts as a hit
  std::size_t limit = 20000;  ///< distances measured before it stops
  double beyond = 20;         ///< mm; gaps larger than this are not looked at
};

/// `moving` turns as one body, `others` stand still. Pairs declared as gears, and pairs that touch on the
/// axis of turning or along the slide at rest (bearings), are not judged; they are named by `bearings`.
Clearest turning(const Scene& scene, const PartSet& moving, const PartSet& others, const Turn& turn,
                 const MotionRules& rules = {});
Clearest sliding(const Scene& scene, const PartSet& moving, const PartSet& others, const Slide& slide,
                 const MotionRules& rules = {});

/// Pairs (moving, other) that touch where they are: their gap is the business of a fit, not of motion.
std::vector<std::pair<std::size_t, std::size_t>> bearings(const Scene& scene, const PartSet& moving,
                                                          const PartSet& others, double touch = 0.02);

}  // namespace handlot::shapes
