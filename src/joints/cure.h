// cure.h: how long an adhesive takes to a state at a temperature, from published tables only.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "joints/adhesive.h"

namespace handlot::joints {

/// Times scaled by a law, rather than read off a sheet, get this much on top. A law misses by more the further it is
/// taken, so that on the colder side the margin grows, evenly in its logarithm, from nothing at 2 K from the printed
/// temperature to the whole at 5 K.
/// Source   own margin [practice]: the laws below miss single published points by up to 31 %. With it an epoxy printed at
///          23 degC takes 1.39 times as long at 20 degC; the fastest printed change there, EPX46 handling from 25 to
///          20 degC, makes 1.38 of 3 K.
inline constexpr double kScalingMargin = 1.31;

/// ln t = ln a + Ea / (R T).
struct Arrhenius {
  KilojoulesPerMole activation;
  double ln_seconds_at_infinity = 0;
  double worst_short = 0;  ///< most negative error of the fit at its own points, as a fraction (-0.12)
  double worst_long = 0;   ///< most positive one

  /// The bare law, without guard or margin: for comparison with tables, not for planning.
  Seconds at(Celsius temperature) const;
};

/// Least squares in ln t over 1/T.
/// Given   two points or more at different temperatures, times above zero.
/// Cost    linear.
Arrhenius fit_arrhenius(std::span<const CureAt> points);

/// Factor by which the rate rises for 10 K between two points.
double local_q10(const CureAt& cold, const CureAt& warm);

/// A published series that a chemistry's law rests on.
struct PublishedCure {
  std::string product;
  Chemistry chemistry;
  std::string criterion;
  CureState state;
  std::vector<CureAt> points;
  Source source;
};
const std::vector<PublishedCure>& published_cures();

/// What the published series of one chemistry allow. The activation energies are those of the series that an Arrhenius
/// line fits within 35 %. The range is that of the back-test: scaled from its point nearest 25 degC with the cautious end
/// of the energies and the margin, every row of every series inside the range comes out no shorter than printed.
struct ChemistryLaw {
  Chemistry chemistry;
  KilojoulesPerMole lowest;
  KilojoulesPerMole highest;
  Celsius from;
  Celsius to;
  std::vector<std::string> products;
};
/// Empty for a chemistry without published tables (cyanoacrylate, silicone, wood glue, ...): its times are only
/// used where they were stated.
std::optional<ChemistryLaw> law_of(Chemistry chemistry);

struct CureWait {
  Duration wait;           ///< plan with this; whole minutes, up (whole seconds under 5 min)
  CureState state;         ///< the state the time belongs to; at or after the one asked for
  bool scaled = false;     ///< false: as printed
  std::string how;         ///< "4 h at 23 degC as printed", "1 h at 23 degC, brought to 20 degC by ..., 31 % on top"
  Source source;
};

/// The wait from closing the joint to `state` at `room`.
///
/// Returns  at a printed temperature, the printed time. Between two printed ones, Arrhenius between the two with the
///          margin on top, but never more than the colder point. With one point, that time within 2 K of it (the
///          laboratory's 23 +- 2 degC, ISO 291 (memory)); else the law of the same chemistry inside
///          its published range, the cautious end of the activation energies and the margin. Without a law: 5 K to
///          either side of the point [practice], colder with the margin on top; warmer than that, the time as printed up
///          to the product's hottest (15 K where the card has none [practice]). A state that is not printed is answered by the next later one that is.
///          Warmer is never longer, a later state never shorter.
/// Errors   cure-unknown: no time for this state or a later one.
///          cure-too-cold, cure-too-hot: outside what was published, or outside the product's own window.
/// Source   the card's series; laws: published_cures().
Result<CureWait> cure_wait(const AdhesiveFigures& adhesive, CureState state, Celsius room);

/// The wait at the coldest temperature that `cure_wait` answers: in a room colder still it takes at least so long.
/// Errors   cure-unknown, as above.
Result<CureWait> coldest_wait(const AdhesiveFigures& adhesive, CureState state);

/// One-part silicone and its like, curing inward from the air: time goes with depth squared.
///
/// Returns  24 h up to the section that cures in a day, then 24 h (depth / section)^2; `linear` is the same with the
///          first power, the least that can be true.
/// Errors   silicone-too-deep over section_max (6 mm where the card says none); cure-unknown without section_per_day.
/// Source   2 mm in 24 h at 25 degC, 50 % RH, 6 mm at most: MOMENTIVE IS5628E (read). Square law: diffusion, derived.
struct DepthCure {
  Duration wait;
  Duration linear;
};
Result<DepthCure> depth_cure(const AdhesiveFigures& adhesive, Millimetres depth);

}  // namespace handlot::joints
