// wood.h: how much water wood holds in a room, and how far it moves when that changes.
#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "joints/cite.h"

namespace handlot::joints {

/// Moisture content in percent of dry mass.
using MoistureContent = Percent;

/// Equilibrium moisture content in a room.
/// Given    humidity 0 to 100 %.
/// Errors   emc-range outside 0 to 60 degC.
/// Source   Wood Handbook eq. 4-5; coefficients in Celsius: RN0268 (read).
/// Accuracy mean 0.13, worst 0.9 % moisture content against data; species and hysteresis 1 to 2 % [memory].
Result<MoistureContent> equilibrium_moisture(Celsius room, RelativeHumidity humidity);

/// Movement coefficients per percent (6 to 14 %) and total shrinkage from green, percent. 0 = not published.
struct Species {
  std::string_view id;
  double radial;          ///< CR, quarter-sawn width
  double tangential;      ///< CT, flat-sawn width
  Cite coefficient_cite;
  double shrink_radial;
  double shrink_tangential;
  double shrink_volume;
  Cite shrink_cite;
  double specific_gravity;
  Cite gravity_cite;
};
/// Source   Wood Handbook tables 13-5, 4-3, 4-4; per row.
std::span<const Species> species();
std::optional<Species> find_species(std::string_view id);
/// kg/m3 at 12 %: 1000 x gravity x 1.12.
double density_at_12(const Species& s);

enum class Grain { along, quarter, flat };

/// dD = D C (to - from). The handbook's equation 13-2, meant for 6 to 14 %.
Millimetres movement_small(Millimetres width, double coefficient, MoistureContent from, MoistureContent to);
/// dD = D (to - from) / (30 x 100 / S - 30 + from). Equation 13-3, up to 30 %; S total shrinkage in percent.
Millimetres movement_large(Millimetres width, double shrinkage, MoistureContent from, MoistureContent to);

/// Change of a width. Along the grain: 0.2 % from green to dry, spread over 30 % (upper end; WH (memory)).
/// Returns  by 13-2 inside 6 to 14 %, else by 13-3; 13-3 too where no coefficient is published.
/// Errors   wood-moisture above 30 % or below 0 (WH p. 13-18); wood-unknown: species has no figure for that grain.
Result<Millimetres> movement(const Species& s, Grain grain, Millimetres width, MoistureContent from,
                             MoistureContent to);

/// Shrinkage of lumber from green to `moisture` in percent, mixed sawn.
/// Source   FPL-RP-489 (read): 6.031 - 0.215 M and 5.062 - 0.181 M, 8 to 19 %.
Percent lumber_width_shrinkage(MoistureContent moisture);
Percent lumber_thickness_shrinkage(MoistureContent moisture);

}  // namespace handlot::joints
