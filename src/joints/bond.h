// bond.h: whether a joint is filled, held and clean: gap, strength, amount, clamping, squeeze-out.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "core/quantity.h"
#include "joints/adhesive.h"
#include "joints/cite.h"

namespace handlot::joints {

enum class GapVerdict { filled, weak, too_wide, undecided };

/// The gap of a joint against what its adhesive fills. The worst gap, nominal plus tolerance, decides.
/// Returns  undecided: the adhesive's card gives no limit, or the limit lies inside the tolerance (`near` is set: the
///          nominal gap is filled, the worst one is not).
struct GapAnswer {
  GapVerdict verdict = GapVerdict::undecided;
  Millimetres worst;
  std::optional<Millimetres> limit;  ///< the one passed, or the next one up
  bool near = false;
};
GapAnswer gap_verdict(const AdhesiveFigures& adhesive, Millimetres nominal, Millimetres tolerance);

/// Lap shear of instant glue on pairs of materials.
struct LapShear {
  std::string_view a;
  std::string_view b;
  Megapascals ten_minutes;
  std::optional<Megapascals> two_days;
  bool substrate_failed = false;  ///< the material gave way, not the film: a lower bound of the film
  Cite cite;
};
/// Source   HAS p. 390, table 10.16 (read), printed in psi.
std::span<const LapShear> instant_glue_lap_shear();
std::optional<LapShear> instant_glue_lap_shear(std::string_view a, std::string_view b);
Megapascals from_psi(double psi);

/// A bond of `area` that carries `load`.
/// Returns  `factor` = strength x area / load; `holds` when it is at least `wanted`.
/// Source   wanted 3 for a steady load, 5 for knocks and handling [practice]. Published lap shear is the best case: a
///          quarter of it is what a hand-made joint is trusted with before that [practice], `trusted`.
struct LoadAnswer {
  Newtons capacity;
  double factor = 0;
  bool holds = false;
};
inline constexpr double kHandMade = 0.25;
LoadAnswer carry(Megapascals published, SquareMillimetres area, Newtons load, double wanted = 3,
                 double trusted = kHandMade);
/// The bare product, for comparison with tables.
Newtons capacity(Megapascals strength, SquareMillimetres area);

/// Adhesive for a joint: area x film x density, in whole drops (at least one) where it comes by the drop.
struct Amount {
  Grams mass;
  int drops = 0;  ///< 0: not dispensed by the drop
};
Amount amount(const AdhesiveFigures& adhesive, SquareMillimetres area, std::optional<Millimetres> film = {});
/// Drops in a mass.
double drops_in(Grams mass, Grams drop);

/// Radius of the bead that an excess makes along an edge (quarter of a circle).
Millimetres squeeze_out_radius(CubicMillimetres excess, Millimetres edge);

/// Clamping pressure for wood by hardness.
/// Source   TITEBOND guide (read): 100-150, 150-200, 200-300 psi. Which wood is which: below 0.45, below 0.60 specific
///          gravity at 12 % [practice].
enum class WoodHardness { soft, medium, hard };
struct ClampPressure {
  Megapascals least;
  Megapascals most;
};
WoodHardness hardness(double specific_gravity);
ClampPressure clamp_pressure(WoodHardness hardness);

/// Wood glue in the clamps and before load.
/// Source   TITEBOND guide (read): clamp 30 to 60 min unstressed, no load for 24 h.
inline constexpr Duration kWoodClampLeast = minutes(30);
inline constexpr Duration kWoodClampMost = minutes(60);
inline constexpr Duration kWoodNoLoad = hours(24);

/// What a surface does to an adhesive. Good: nothing is known against it. Unsure: some of the family hold, some do not.
enum class Affinity { good, poor, none, corrodes, never, unsure };
/// What makes it hold all the same: an activator that primes, a face that flame, plasma, etching or a primer has changed,
/// that or one that is roughened, nothing.
enum class Way { none, activator, primed, roughened };
struct SurfaceWord {
  Affinity affinity = Affinity::good;
  std::string_view why;
  Cite cite;
  Way way = Way::none;
};
/// `material` is a material word of the compatibility table ("pom", "hdpe", "silicone", "brass", "abs" ...), or the family
/// of a material that has no row ("ceramic", "rubber").
/// Source   polyolefins and PTFE want a treated face, and a polyolefin primer helps instant glue only: LOWENERGY (read);
///          acetoxy silicone corrodes copper and brass: HAS p. 401 (read); anaerobic threadlocker never on ABS, PMMA, PC,
///          PS: supplier's guide (read); the rest from memory.
SurfaceWord affinity(Chemistry chemistry, std::string_view material);

}  // namespace handlot::joints
