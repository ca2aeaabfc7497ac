// alloy.h: solder alloys, powder types and what a gram of paste holds.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "core/quantity.h"
#include "core/source.h"

namespace handlot::solder {

struct Alloy {
  std::string_view id;    ///< "SAC305"
  std::string_view name;  ///< composition
  Celsius solidus;
  Celsius liquidus;
  std::optional<GramsPerCubicCentimetre> density;  ///< nothing where no printed figure was found
  Source source;
};
/// The published table, in its order.
std::span<const Alloy> alloys();
const Alloy* alloy(std::string_view id);

/// Powder type of J-STD-005: at least 80 % of the balls lie between the two sizes.
struct Powder {
  int type = 4;
  Millimetres smallest;
  Millimetres largest;
  Source source;
};
std::span<const Powder> powders();
const Powder* powder(int type);
/// Five balls of the largest main size side by side.
Millimetres smallest_aperture(const Powder& powder);
/// The coarsest type of which five balls fit; nothing if even the finest does not.
std::optional<int> coarsest_type(Millimetres aperture);

/// 1/rho = w/alloy + (1 - w)/flux.
/// Given    0 < metal <= 1 by weight, densities > 0.
/// Source   worked example 0.8775 SAC305 -> 4.14 g/cm3: solder-examples E1 in docs/reference/sources.md.
GramsPerCubicCentimetre paste_density(double metal, GramsPerCubicCentimetre alloy,
                                      GramsPerCubicCentimetre flux = GramsPerCubicCentimetre(1.0));
/// How much of the paste's volume is metal (what stays after reflow), 0 to 1.
double metal_by_volume(double metal, GramsPerCubicCentimetre alloy,
                       GramsPerCubicCentimetre flux = GramsPerCubicCentimetre(1.0));

}  // namespace handlot::solder
