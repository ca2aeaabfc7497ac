// vapour.h: how much solvent vapour hangs in a room, what share of the explosive limit that is, how long to air.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "core/quantity.h"
#include "core/source.h"

namespace handlot::safety {

/// g/mol.
using MolarMass = double;

/// Litres of a mole of gas at 25 degC and 1 atm: the figure that exposure limits are converted with.
inline constexpr double kMolarVolume = 24.45;

MilligramsPerCubicMetre to_mass(PartsPerMillion ppm, MolarMass molar_mass);
PartsPerMillion to_ppm(MilligramsPerCubicMetre mass, MolarMass molar_mass);
/// The molar mass that a printed pair "ppm = mg/m3" implies: finds figures copied from another substance.
MolarMass implied_molar_mass(PartsPerMillion ppm, MilligramsPerCubicMetre mass);

/// What is known of a volatile liquid. Empty = not published, never zero.
struct Volatile {
  std::string name;
  MolarMass molar_mass = 0;
  std::optional<GramsPerCubicCentimetre> density;
  std::optional<Celsius> flash_point;           ///< the lower of two published ones
  std::optional<Percent> lower_limit;           ///< by volume; the lower of two
  std::optional<Percent> upper_limit;
  std::optional<Kilopascals> pressure_20;       ///< at 20 degC
  std::optional<PartsPerMillion> limit_8h;
  std::optional<PartsPerMillion> limit_15min;
  std::optional<double> evaporation;            ///< butyl acetate 1
  double antoine_a = 0, antoine_b = 0, antoine_c = 0;  ///< log10(P/Pa) = a - b / (T/K + c); all 0 = none
  std::string h_codes;
  Source source;
};
/// Source   CB (read): IS/IEC 60079-20-1:2010, NFPA 497:2008, Antoine after Poling; limits ACGIH as listed there (they
///          change by date and country).
std::span<const Volatile> volatiles();
std::optional<Volatile> find_volatile(std::string_view name);

/// Vapour pressure: Antoine where held; else the 20 degC figure, doubled for each 10 K above 20 [practice].
std::optional<Kilopascals> vapour_pressure(const Volatile& v, Celsius at);
/// No pool gives more than this, however much is spilt.
std::optional<PartsPerMillion> saturation(const Volatile& v, Celsius at);
/// Warm enough to light: at or over the flash point.
bool lights_at(const Volatile& v, Celsius room);

/// A room, a box, a cabinet.
struct Air {
  CubicMetres volume;
  AirChangesPerHour changes{0.5};  ///< a closed room [practice]
  double mixing = 3;               ///< 1 = perfect; real rooms 1 to 10, 3 [practice]
  Celsius temperature{20};
};

/// All of it evaporated at once into the volume, not capped.
PartsPerMillion well_mixed(Grams evaporated, MolarMass molar_mass, CubicMetres volume);
/// The level at the end of a release that takes `over`: what the air carries off meanwhile is gone. Zero: all at once.
PartsPerMillion released(Grams evaporated, MolarMass molar_mass, const Air& air, Duration over);
/// Mean over the 8 h after it was all let out at once.
PartsPerMillion mean_of_8h(Grams evaporated, MolarMass molar_mass, const Air& air);
/// Steady level of a steady source, grams an hour.
PartsPerMillion steady(double grams_per_hour, MolarMass molar_mass, const Air& air);
/// Time to fall from one level to another: mixing / changes x ln(from / to).
/// Returns  0 when already there; empty without any air change.
std::optional<Duration> airing_time(PartsPerMillion from, PartsPerMillion to, const Air& air);

struct VapourAnswer {
  PartsPerMillion level;             ///< the highest: well mixed, capped at saturation
  bool saturated = false;
  std::optional<double> lower_share; ///< of the lower explosive limit; empty when none is published
  bool fire = false;                 ///< 10 % of the lower limit or more: stop
  bool over_15min = false;           ///< the highest level, against the 15 min limit
  bool over_8h = false;              ///< the mean of 8 h, against the 8 h limit
  Duration airing{0};                ///< until under 10 % of the lower limit and under the 8 h limit; 0 = none needed
  bool airing_never = false;         ///< no air change
};
/// A quantity of liquid that evaporates in a room, in the time `over`.
/// Source   10 % of the lower limit is where NIOSH puts "immediately dangerous" (NPG (read)); model: well mixed.
/// Accuracy an average of the room: beside an open dish it is always more. Ignition sources stay away regardless.
VapourAnswer assess(const Volatile& v, Grams evaporated, const Air& air, Duration over = Duration(0));

}  // namespace handlot::safety
