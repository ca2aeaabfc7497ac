// quantity.h: numbers that carry their unit in the type.
#pragma once

#include <compare>
#include <cstdint>

namespace handlot {

/// A physical amount. Two amounts of different kind do not mix; a ratio of the same kind is a plain double.
/// `value` is in the unit that the alias below names.
template <class Kind>
struct Quantity {
  double value = 0;

  constexpr Quantity() = default;
  constexpr explicit Quantity(double v) : value(v) {}

  constexpr auto operator<=>(const Quantity&) const = default;
  constexpr Quantity operator+(Quantity o) const { return Quantity(value + o.value); }
  constexpr Quantity operator-(Quantity o) const { return Quantity(value - o.value); }
  constexpr Quantity operator-() const { return Quantity(-value); }
  constexpr Quantity operator*(double f) const { return Quantity(value * f); }
  constexpr Quantity operator/(double f) const { return Quantity(value / f); }
  constexpr double operator/(Quantity o) const { return value / o.value; }
  constexpr Quantity& operator+=(Quantity o) { return *this = *this + o; }
  constexpr Quantity& operator-=(Quantity o) { return *this = *this - o; }
  friend constexpr Quantity operator*(double f, Quantity q) { return q * f; }
};

using Millimetres = Quantity<struct LengthKind>;
using SquareMillimetres = Quantity<struct AreaKind>;
using CubicMillimetres = Quantity<struct VolumeKind>;
using CubicMetres = Quantity<struct RoomVolumeKind>;  ///< rooms and boxes of air
using Grams = Quantity<struct MassKind>;
using GramsPerCubicCentimetre = Quantity<struct DensityKind>;
using Seconds = Quantity<struct TimeKind>;  ///< measured time, with fractions; plans use Duration
using Kelvin = Quantity<struct TemperatureDifferenceKind>;  ///< a difference, never a reading
using KelvinPerSecond = Quantity<struct RampKind>;
using Newtons = Quantity<struct ForceKind>;
using Megapascals = Quantity<struct StressKind>;
using NewtonMetres = Quantity<struct TorqueKind>;
using RelativeHumidity = Quantity<struct HumidityKind>;  ///< percent, 0 to 100
using Percent = Quantity<struct PercentKind>;
using PartsPerMillion = Quantity<struct VapourKind>;  ///< by volume, in air
using MilligramsPerCubicMetre = Quantity<struct MassConcentrationKind>;
using AirChangesPerHour = Quantity<struct AirChangeKind>;
using KilojoulesPerMole = Quantity<struct ActivationKind>;
using WattsPerSquareMetreKelvin = Quantity<struct HeatTransferKind>;
using Watts = Quantity<struct PowerKind>;
using Volts = Quantity<struct VoltageKind>;
using Degrees = Quantity<struct AngleKind>;
using Kilopascals = Quantity<struct PressureKind>;
using PerKelvin = Quantity<struct ExpansionKind>;  ///< 1e-6 / K
using Millipascalseconds = Quantity<struct ViscosityKind>;
using Money = Quantity<struct MoneyKind>;  ///< in the one currency that the job names

/// A temperature reading on the Celsius scale. Differences are Kelvin; readings do not add.
struct Celsius {
  double value = 0;
  constexpr Celsius() = default;
  constexpr explicit Celsius(double v) : value(v) {}
  constexpr auto operator<=>(const Celsius&) const = default;
  constexpr Celsius operator+(Kelvin d) const { return Celsius(value + d.value); }
  constexpr Celsius operator-(Kelvin d) const { return Celsius(value - d.value); }
  constexpr Kelvin operator-(Celsius o) const { return Kelvin(value - o.value); }
  constexpr double kelvin() const { return value + 273.15; }
};

/// A span of plan time in whole seconds.
struct Duration {
  std::int64_t seconds = 0;
  constexpr Duration() = default;
  constexpr explicit Duration(std::int64_t s) : seconds(s) {}
  constexpr auto operator<=>(const Duration&) const = default;
  constexpr Duration operator+(Duration o) const { return Duration(seconds + o.seconds); }
  constexpr Duration operator-(Duration o) const { return Duration(seconds - o.seconds); }
  constexpr Duration operator-() const { return Duration(-seconds); }
  constexpr Duration operator*(std::int64_t n) const { return Duration(seconds * n); }
  constexpr Duration& operator+=(Duration o) { return *this = *this + o; }
};
constexpr Duration minutes(std::int64_t n) { return Duration(n * 60); }
constexpr Duration hours(std::int64_t n) { return Duration(n * 3600); }

/// A moment: whole seconds since 1970-01-01T00:00Z. Zones are the business of `job` (hours) and `sheets` (print).
struct Instant {
  std::int64_t seconds = 0;
  constexpr Instant() = default;
  constexpr explicit Instant(std::int64_t s) : seconds(s) {}
  constexpr auto operator<=>(const Instant&) const = default;
  constexpr Instant operator+(Duration d) const { return Instant(seconds + d.seconds); }
  constexpr Instant operator-(Duration d) const { return Instant(seconds - d.seconds); }
  constexpr Duration operator-(Instant o) const { return Duration(seconds - o.seconds); }
};

namespace literals {
constexpr Millimetres operator""_mm(long double v) { return Millimetres(static_cast<double>(v)); }
constexpr Millimetres operator""_mm(unsigned long long v) { return Millimetres(static_cast<double>(v)); }
constexpr Celsius operator""_degC(long double v) { return Celsius(static_cast<double>(v)); }
constexpr Celsius operator""_degC(unsigned long long v) { return Celsius(static_cast<double>(v)); }
constexpr Kelvin operator""_K(long double v) { return Kelvin(static_cast<double>(v)); }
constexpr Kelvin operator""_K(unsigned long long v) { return Kelvin(static_cast<double>(v)); }
constexpr Seconds operator""_s(long double v) { return Seconds(static_cast<double>(v)); }
constexpr Seconds operator""_s(unsigned long long v) { return Seconds(static_cast<double>(v)); }
constexpr Grams operator""_g(long double v) { return Grams(static_cast<double>(v)); }
constexpr RelativeHumidity operator""_RH(unsigned long long v) { return RelativeHumidity(static_cast<double>(v)); }
}  // namespace literals

}  // namespace handlot
