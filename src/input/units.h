// units.h: amounts as people write them ("20 min", "0.12 mm", "245 degC", "38 %RH") turned into quantities.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <tl/expected.hpp>

#include "core/quantity.h"

namespace handlot::input {

/// What an amount measures. `low` and `high` are the range that is not absurd at a bench, in the canonical unit.
enum class Dimension {
  length, area, volume, room_volume, mass, density, duration, time, temperature, difference, ramp, force, stress,
  torque, humidity, percent, vapour, concentration, air_changes, activation, power, voltage, angle, pressure,
  expansion, viscosity, price, molar_mass, count, ratio, resistance
};

struct Range {
  double low;
  double high;
};

/// The range accepted when the caller names none, in the canonical unit of the dimension.
Range sensible(Dimension dimension);

/// The name a person knows the dimension by: "a length", "a temperature".
std::string_view word(Dimension dimension);

/// The unit that canonical values of the dimension are in: "mm", "degC", "s".
std::string_view canonical_unit(Dimension dimension);

/// Why an amount was refused, and the order that mends it.
struct Fault {
  std::string code;  ///< "unit-missing", "unit-unknown", "unit-kind", "number-bad", "number-range"
  std::string text;
  std::string mend;
};

/// Low and high in the canonical unit; equal unless the text was a range ("60..120 s").
struct Amount {
  double low = 0;
  double high = 0;
  bool range = false;
};

/// Reads "20 min", "1 h 30 min" (durations and times only), "60..120 s", "0.12 mm".
///
/// Errors   the text is empty, no number, without unit, of an unknown or unfit unit, with a decimal comma, not finite,
///          low above high, or outside `range`. Counts and ratios carry no unit.
tl::expected<Amount, Fault> read_amount(std::string_view text, Dimension dimension, Range range);

/// A range that somebody measures, in whatever unit the meter shows.
struct Measure {
  Amount amount;     ///< as written
  std::string unit;  ///< as written, one word: "mA", "kHz", "mS/cm"; empty for counts
};

/// Reads "40..200 mV", "3 V", "0..2". Numbers are kept as written, for what is read off a meter is written down so too; units that
/// this program does not calculate with are as good as others.
///
/// Errors   those of read_amount, and "unit-unknown" for what is no unit at all (longer than 16 bytes, with digits in front).
tl::expected<Measure, Fault> read_measure(std::string_view text);

template <class Q>
struct DimensionOf;
template <> struct DimensionOf<Millimetres> { static constexpr Dimension value = Dimension::length; };
template <> struct DimensionOf<SquareMillimetres> { static constexpr Dimension value = Dimension::area; };
template <> struct DimensionOf<CubicMillimetres> { static constexpr Dimension value = Dimension::volume; };
template <> struct DimensionOf<CubicMetres> { static constexpr Dimension value = Dimension::room_volume; };
template <> struct DimensionOf<Grams> { static constexpr Dimension value = Dimension::mass; };
template <> struct DimensionOf<GramsPerCubicCentimetre> { static constexpr Dimension value = Dimension::density; };
template <> struct DimensionOf<Duration> { static constexpr Dimension value = Dimension::duration; };
template <> struct DimensionOf<Seconds> { static constexpr Dimension value = Dimension::time; };
template <> struct DimensionOf<Celsius> { static constexpr Dimension value = Dimension::temperature; };
template <> struct DimensionOf<Kelvin> { static constexpr Dimension value = Dimension::difference; };
template <> struct DimensionOf<KelvinPerSecond> { static constexpr Dimension value = Dimension::ramp; };
template <> struct DimensionOf<Newtons> { static constexpr Dimension value = Dimension::force; };
template <> struct DimensionOf<Megapascals> { static constexpr Dimension value = Dimension::stress; };
template <> struct DimensionOf<NewtonMetres> { static constexpr Dimension value = Dimension::torque; };
template <> struct DimensionOf<RelativeHumidity> { static constexpr Dimension value = Dimension::humidity; };
template <> struct DimensionOf<Percent> { static constexpr Dimension value = Dimension::percent; };
template <> struct DimensionOf<PartsPerMillion> { static constexpr Dimension value = Dimension::vapour; };
template <> struct DimensionOf<MilligramsPerCubicMetre> { static constexpr Dimension value = Dimension::concentration; };
template <> struct DimensionOf<AirChangesPerHour> { static constexpr Dimension value = Dimension::air_changes; };
template <> struct DimensionOf<KilojoulesPerMole> { static constexpr Dimension value = Dimension::activation; };
template <> struct DimensionOf<Watts> { static constexpr Dimension value = Dimension::power; };
template <> struct DimensionOf<Volts> { static constexpr Dimension value = Dimension::voltage; };
template <> struct DimensionOf<Degrees> { static constexpr Dimension value = Dimension::angle; };
template <> struct DimensionOf<PerKelvin> { static constexpr Dimension value = Dimension::expansion; };
template <> struct DimensionOf<Millipascalseconds> { static constexpr Dimension value = Dimension::viscosity; };
template <> struct DimensionOf<Money> { static constexpr Dimension value = Dimension::price; };

/// The canonical value as the type asked for; Duration rounds to whole seconds.
template <class Q>
Q from_canonical(double value) {
  if constexpr (std::is_same_v<Q, Duration>) {
    return Duration(static_cast<std::int64_t>(value + (value < 0 ? -0.5 : 0.5)));
  } else {
    return Q(value);
  }
}

}  // namespace handlot::input
