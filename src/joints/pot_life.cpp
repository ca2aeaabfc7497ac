#include "joints/pot_life.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"

namespace handlot::joints {
namespace {

double seconds_of(Duration d) { return static_cast<double>(d.seconds); }
Duration floored(double seconds) { return Duration(static_cast<std::int64_t>(std::floor(seconds + 1e-6))); }

Duration by_mass(const std::vector<PotLife>& printed, Grams mass) {
  if (mass <= printed.front().mass) return printed.front().time;
  for (std::size_t i = 1; i < printed.size(); ++i) {
    const PotLife &a = printed[i - 1], &b = printed[i];
    if (mass > b.mass) continue;
    if (a.mass.value <= 0) return std::min(a.time, b.time);
    const double share = std::log(mass / a.mass) / std::log(b.mass / a.mass);
    return floored(std::exp(std::log(seconds_of(a.time)) * (1 - share) + std::log(seconds_of(b.time)) * share));
  }
  return printed.back().time;
}

}  // namespace

Result<Duration> pot_life_at(Duration printed, Celsius printed_at, Celsius room) {
  const double kelvin = (room - printed_at).value;
  if (std::abs(kelvin) > 15) {
    return fail(error("pot-life-range", {},
                      fmt::format("a pot life printed at {} degC says nothing at {} degC: the rule of half for each "
                                  "10 K holds within 15 K", number(printed_at.value, 1), number(room.value, 1)),
                      "bring resin and room nearer to the printed temperature, or state a measured pot life"));
  }
  return floored(seconds_of(printed) * std::pow(0.5, kelvin / 10));
}

Result<PotLifeAnswer> pot_life(const AdhesiveFigures& adhesive, Grams mass, Celsius room) {
  if (adhesive.pot_lives.empty()) {
    return fail(error("pot-life-unknown", {}, fmt::format("the card of {} gives no pot life", adhesive.name),
                      "add the pot life and the mass it holds for to the card"));
  }
  const PotLife& largest = adhesive.pot_lives.back();
  if (largest.mass.value > 0 && mass > largest.mass) {
    return fail(error("pot-mass-unknown", {},
                      fmt::format("{} g of {} in one cup: the largest printed mass is {} g, and more goes off sooner",
                                  number(mass.value, 1), adhesive.name, number(largest.mass.value, 1)),
                      fmt::format("mix no more than {} g at once", number(largest.mass.value, 1))));
  }
  const Duration printed = by_mass(adhesive.pot_lives, mass);
  Duration life = printed;
  if (adhesive.chemistry == Chemistry::epoxy) {
    const auto scaled = pot_life_at(printed, adhesive.pot_temperature, room);
    if (!scaled) return tl::unexpected(scaled.error());
    life = std::min(printed, *scaled);
  } else if (room - adhesive.pot_temperature > Kelvin(5)) {
    return fail(error("pot-life-range", {},
                      fmt::format("the pot life of {} is printed at {} degC and the room has {} degC", adhesive.name,
                                  number(adhesive.pot_temperature.value, 1), number(room.value, 1)),
                      "cool the room, or state a measured pot life"));
  }
  return PotLifeAnswer{life, Duration(life.seconds / 2), mass >= kWarmMix};
}

}  // namespace handlot::joints
