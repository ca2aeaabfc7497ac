#include "safety/vapour.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace handlot::safety {
namespace {

constexpr double kAtmosphere = 101.325;  // kPa
constexpr double kFireShare = 0.10;

Volatile liquid(std::string name, double molar, double rho, double flash, double lower, double upper, double p20,
                double evaporation, std::string h) {
  Volatile v;
  v.name = std::move(name);
  v.molar_mass = molar;
  v.density = GramsPerCubicCentimetre(rho / 1000);
  v.flash_point = Celsius(flash);
  v.lower_limit = Percent(lower);
  if (upper > 0) v.upper_limit = Percent(upper);
  if (p20 > 0) v.pressure_20 = Kilopascals(p20);
  if (evaporation > 0) v.evaporation = evaporation;
  v.h_codes = std::move(h);
  v.source = {"CB", "IS/IEC 60079-20-1:2010 and NFPA 497:2008", Standing::read};
  return v;
}

Volatile with_antoine(Volatile v, double a, double b, double c) {
  v.antoine_a = a, v.antoine_b = b, v.antoine_c = c;
  return v;
}

Volatile limited(Volatile v, double ppm_8h, double ppm_15min) {
  if (ppm_8h > 0) v.limit_8h = PartsPerMillion(ppm_8h);
  if (ppm_15min > 0) v.limit_15min = PartsPerMillion(ppm_15min);
  return v;
}

std::vector<Volatile> table() {
  // Where the two standards differ the lower limit and the lower flash point stand: heptane 0.85 (not 1.0), -7 (not -4).
  return {
      limited(with_antoine(liquid("isopropanol", 60.10, 786.8, 12, 2.0, 12.7, 4.41, 1.7, "H225 H319 H336"), 10.24268,
                           1580.92, -53.54), 200, 400),
      limited(with_antoine(liquid("acetone", 58.08, 792.3, -20, 2.5, 14.3, 24.71, 5.6, "H225 H319 H336 EUH066"), 9.2184,
                           1197.01, -45.09), 250, 500),
      limited(with_antoine(liquid("heptane", 100.20, 685.7, -7, 0.85, 6.7, 4.73, 3.3, "H225 H304 H315 H336 H410"),
                           9.02023, 1263.909, -56.718), 400, 500),
      limited(with_antoine(liquid("ethanol", 46.07, 790.3, 12, 3.1, 19, 5.86, 1.4, "H225 H319"), 10.33675, 1648.22,
                           -42.232), 0, 1000),
      liquid("limonene", 136.24, 840, 43, 0.7, 6.1, 0.2, 0, "H226 H304 H315 H317 H410"),
      limited(liquid("turpentine", 136, 860, 35, 0.8, 0, 0, 0, "H226 H302 H304 H312 H315 H317 H319 H332 H411"), 20, 0),
  };
}

Duration whole_minutes(double hours_needed) {
  return Duration(static_cast<std::int64_t>(std::ceil(hours_needed * 60 - 1e-9)) * 60);
}

}  // namespace

MilligramsPerCubicMetre to_mass(PartsPerMillion ppm, MolarMass m) {
  return MilligramsPerCubicMetre(ppm.value * m / kMolarVolume);
}
PartsPerMillion to_ppm(MilligramsPerCubicMetre mass, MolarMass m) {
  return PartsPerMillion(mass.value * kMolarVolume / m);
}
MolarMass implied_molar_mass(PartsPerMillion ppm, MilligramsPerCubicMetre mass) {
  return mass.value / ppm.value * kMolarVolume;
}

std::span<const Volatile> volatiles() {
  static const std::vector<Volatile> all = table();
  return all;
}

std::optional<Volatile> find_volatile(std::string_view name) {
  for (const Volatile& v : volatiles())
    if (v.name == name) return v;
  return std::nullopt;
}

std::optional<Kilopascals> vapour_pressure(const Volatile& v, Celsius at) {
  if (v.antoine_a > 0) {
    return Kilopascals(std::pow(10, v.antoine_a - v.antoine_b / (at.kelvin() + v.antoine_c)) / 1000);
  }
  if (!v.pressure_20) return std::nullopt;
  return *v.pressure_20 * std::pow(2, std::max(0.0, (at.value - 20) / 10));
}

std::optional<PartsPerMillion> saturation(const Volatile& v, Celsius at) {
  const auto pressure = vapour_pressure(v, at);
  if (!pressure) return std::nullopt;
  return PartsPerMillion(std::min(1.0, pressure->value / kAtmosphere) * 1e6);
}

bool lights_at(const Volatile& v, Celsius room) { return v.flash_point && room >= *v.flash_point; }

PartsPerMillion well_mixed(Grams evaporated, MolarMass m, CubicMetres volume) {
  return PartsPerMillion(evaporated.value / m * kMolarVolume * 1000 / volume.value);
}

namespace {

// Mean of exp(-k t) over that many hours.
double mean_left(const Air& air, double for_hours) {
  const double kt = air.changes.value / air.mixing * for_hours;
  return kt < 1e-9 ? 1 : (1 - std::exp(-kt)) / kt;
}

}  // namespace

PartsPerMillion released(Grams evaporated, MolarMass m, const Air& air, Duration over) {
  return well_mixed(evaporated, m, air.volume) * mean_left(air, static_cast<double>(over.seconds) / 3600);
}

PartsPerMillion mean_of_8h(Grams evaporated, MolarMass m, const Air& air) {
  return well_mixed(evaporated, m, air.volume) * mean_left(air, 8);
}

PartsPerMillion steady(double grams_per_hour, MolarMass m, const Air& air) {
  const double flow = air.volume.value * air.changes.value / air.mixing;
  return PartsPerMillion(grams_per_hour / m * kMolarVolume * 1000 / flow);
}

std::optional<Duration> airing_time(PartsPerMillion from, PartsPerMillion to, const Air& air) {
  if (from <= to) return Duration(0);
  if (air.changes.value <= 0) return std::nullopt;
  return whole_minutes(air.mixing / air.changes.value * std::log(from / to));
}

VapourAnswer assess(const Volatile& v, Grams evaporated, const Air& air, Duration over) {
  VapourAnswer answer;
  answer.level = released(evaporated, v.molar_mass, air, over);
  if (const auto cap = saturation(v, air.temperature); cap && answer.level > *cap) {
    answer.level = *cap;
    answer.saturated = true;
  }
  PartsPerMillion goal(1e9);
  if (v.lower_limit) {
    answer.lower_share = answer.level.value / (v.lower_limit->value * 1e4);
    answer.fire = *answer.lower_share >= kFireShare;
    goal = PartsPerMillion(v.lower_limit->value * 1e4 * kFireShare);
  }
  answer.over_15min = v.limit_15min && answer.level > *v.limit_15min;
  answer.over_8h = v.limit_8h && std::min(mean_of_8h(evaporated, v.molar_mass, air), answer.level) > *v.limit_8h;
  if (v.limit_8h) goal = std::min(goal, *v.limit_8h);
  else if (v.limit_15min) goal = std::min(goal, *v.limit_15min);
  const auto time = airing_time(answer.level, goal, air);
  answer.airing_never = !time;
  if (time) answer.airing = *time;
  return answer;
}

}  // namespace handlot::safety
