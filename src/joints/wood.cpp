#include "joints/wood.h"

#include <fmt/format.h>

#include <array>
#include <cassert>

#include "core/text.h"

namespace handlot::joints {
namespace {

constexpr Cite kT135{"WH", "table 13-5"}, kT43{"WH", "table 4-3"};
constexpr Cite kT135m{"WH", "table 13-5", Standing::memory}, kT43m{"WH", "table 4-3", Standing::memory};

// id, CR, CT, cite, radial, tangential, volume shrinkage, cite, gravity at 12 %, cite
constexpr std::array kSpecies{
    Species{"walnut-black", 0.00190, 0.00274, kT135, 5.5, 7.8, 12.8, kT43, 0.55, kT43m},
    Species{"cherry-black", 0.00126, 0.00248, kT135, 3.7, 7.1, 11.5, kT43, 0.50, kT43},
    Species{"maple-sugar", 0.00165, 0.00353, kT135, 4.8, 9.9, 14.7, kT43m, 0.63, kT43m},
    Species{"maple-red", 0.00137, 0.00289, kT135, 4.0, 8.2, 12.6, kT43m, 0.54, kT43},
    Species{"maple-black", 0.00165, 0.00353, kT135, 4.8, 9.3, 14.0, kT43m, 0.57, kT43},
    Species{"oak-red", 0.00158, 0.00369, kT135, 4.0, 8.6, 13.7, kT43m, 0.63, kT43m},
    Species{"oak-white", 0.00180, 0.00365, kT135, 5.6, 10.5, 16.3, kT43, 0.68, kT43m},
    Species{"ash-white", 0.00169, 0.00274, kT135, 4.9, 7.8, 13.3, kT43, 0.60, kT43},
    Species{"beech", 0.00190, 0.00431, kT135, 5.5, 11.9, 17.2, kT43, 0.64, kT43},
    Species{"birch-yellow", 0.00256, 0.00338, kT135, 7.3, 9.5, 16.8, kT43, 0.62, kT43},
    Species{"birch-paper", 0.00219, 0.00304, kT135, 6.3, 8.6, 16.2, kT43, 0.55, kT43},
    Species{"basswood", 0.00230, 0.00330, kT135, 6.6, 9.3, 15.8, kT43, 0.37, kT43},
    Species{"alder-red", 0.00151, 0.00256, kT135, 4.4, 7.3, 12.6, kT43, 0.41, kT43},
    Species{"butternut", 0.00116, 0.00223, kT135, 3.4, 6.4, 10.6, kT43, 0.38, kT43},
    Species{"yellow-poplar", 0.00158, 0.00289, kT135m, 4.6, 8.2, 12.7, kT43, 0.42, kT43m},
    Species{"white-fir", 0.00112, 0.00245, kT135m, 3.3, 7.0, 9.8, kT43, 0.39, kT43m},
    Species{"douglas-fir", 0.00165, 0.00267, kT135m, 4.8, 7.6, 12.4, kT43, 0.48, kT43m},
    Species{"western-redcedar", 0.00111, 0.00234, kT135m, 2.4, 5.0, 6.8, kT43, 0.32, kT43m},
    Species{"mahogany-true", 0.00172, 0.00238, kT135m, 3.0, 4.1, 7.8, kT43, 0.50, kT43m},
    Species{"mahogany-african", 0, 0, kT135m, 2.5, 4.5, 8.8, kT43, 0.50, kT43m},
    Species{"teak", 0.00101, 0.00186, kT135m, 2.5, 5.8, 7.0, kT43m, 0.63, kT43m},
    Species{"padauk", 0, 0.00180, {"FLOORING", "dimensional change"}, 3.3, 5.2, 7.6, kT43m, 0.72, kT43m},
    Species{"wenge", 0, 0.00201, {"FLOORING", "dimensional change"}, 4.8, 8.1, 12.9, kT43m, 0.87, kT43m},
    Species{"merbau", 0, 0.00158, {"FLOORING", "dimensional change"}, 2.7, 4.6, 7.8, kT43m, 0.80, kT43m},
    Species{"afrormosia", 0, 0, kT135m, 3.0, 6.4, 10.7, kT43, 0.69, kT43m},
    Species{"angelique", 0, 0, kT135m, 5.2, 8.8, 14.0, kT43, 0.72, kT43m},
    Species{"azobe", 0, 0, kT135m, 8.4, 11.0, 17.0, kT43, 1.05, kT43m},
};

constexpr double kFiberSaturation = 30;
constexpr double kAlongTotal = 0.2;

}  // namespace

Result<MoistureContent> equilibrium_moisture(Celsius room, RelativeHumidity humidity) {
  assert(humidity.value >= 0 && humidity.value <= 100);
  const double t = room.value;
  if (t < 0 || t > 60) {
    return fail(error("emc-range", {}, fmt::format("the moisture of wood is not known at {} degC", number(t, 1)),
                      "give a temperature between 0 and 60 degC"));
  }
  const double h = humidity.value / 100;
  const double w = 349 + 1.29 * t + 0.0135 * t * t;
  const double k = 0.805 + 0.000736 * t - 2.73e-6 * t * t;
  const double k1 = 6.27 - 0.00938 * t - 0.000303 * t * t;
  const double k2 = 1.91 + 0.0407 * t - 0.000293 * t * t;
  const double kh = k * h;
  const double bound = (k1 * kh + 2 * k1 * k2 * kh * kh) / (1 + k1 * kh + k1 * k2 * kh * kh);
  return MoistureContent(1800 / w * (kh / (1 - kh) + bound));
}

std::span<const Species> species() { return kSpecies; }

std::optional<Species> find_species(std::string_view id) {
  for (const Species& s : kSpecies)
    if (s.id == id) return s;
  return std::nullopt;
}

double density_at_12(const Species& s) { return 1000 * s.specific_gravity * 1.12; }

Millimetres movement_small(Millimetres width, double coefficient, MoistureContent from, MoistureContent to) {
  return width * (coefficient * (to - from).value);
}

Millimetres movement_large(Millimetres width, double shrinkage, MoistureContent from, MoistureContent to) {
  assert(shrinkage > 0);
  const double divisor = kFiberSaturation * 100 / shrinkage - kFiberSaturation + from.value;
  return width * ((to - from).value / divisor);
}

Result<Millimetres> movement(const Species& s, Grain grain, Millimetres width, MoistureContent from,
                             MoistureContent to) {
  for (const MoistureContent m : {from, to}) {
    if (m.value >= 0 && m.value <= kFiberSaturation) continue;
    return fail(error("wood-moisture", {},
                      fmt::format("wood does not move with moisture at {} %: only 0 to 30 % counts", number(m.value, 1)),
                      "give a moisture content between 0 and 30 %"));
  }
  if (grain == Grain::along) return movement_large(width, kAlongTotal, from, to);
  const double c = grain == Grain::quarter ? s.radial : s.tangential;
  const double total = grain == Grain::quarter ? s.shrink_radial : s.shrink_tangential;
  const auto narrow = [](MoistureContent m) { return m.value >= 6 && m.value <= 14; };
  if (c > 0 && narrow(from) && narrow(to)) return movement_small(width, c, from, to);
  if (total > 0) return movement_large(width, total, from, to);
  return fail(error("wood-unknown", {}, fmt::format("no movement is published for {} in that direction", s.id),
                    "name a species of the wood table, or state the movement"));
}

Percent lumber_width_shrinkage(MoistureContent m) { return Percent(6.031 - 0.215 * m.value); }
Percent lumber_thickness_shrinkage(MoistureContent m) { return Percent(5.062 - 0.181 * m.value); }

}  // namespace handlot::joints
