// expansion.h: how far things grow when warmed, and what that does across a bond.
#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "core/quantity.h"
#include "joints/adhesive.h"
#include "joints/cite.h"

namespace handlot::joints {

/// Published expansion, low and high end (tables differ by up to a factor of two), and density; 0 = not held.
struct Material {
  std::string_view id;
  PerKelvin least;
  PerKelvin most;
  Cite expansion_cite;
  double density_kg_m3;
  Cite density_cite;
};
std::span<const Material> expansion_table();
std::optional<Material> find_material(std::string_view id);

/// L x alpha x dT.
Millimetres growth(Millimetres length, PerKelvin alpha, Kelvin change);
Millimetres mismatch(Millimetres length, PerKelvin a, PerKelvin b, Kelvin change);
/// The worst over both published ranges.
Millimetres worst_mismatch(Millimetres length, const Material& a, const Material& b, Kelvin change);
Grams plate_mass(Millimetres length, Millimetres width, Millimetres thickness, double density_kg_m3);

/// What a difference in movement does to the bond between the two parts.
///
/// Returns  bears: the film follows it. strained: expect a crack in time. parts: it will part, or split the wood.
/// Source   [practice]: a rigid film (instant glue, epoxy, wood glue) bears 0.3 mm of difference over its length and
///          parts from 1 mm; a flexible one (silicone, soft hot melt) bears half its own thickness, at least 0.5 mm,
///          and parts from three times that.
enum class BondMovement { bears, strained, parts };
/// What a flexible film of that thickness bears, and the thickness that bears so much, by the same rule.
Millimetres flexible_bears(Millimetres film);
Millimetres flexible_film_for(Millimetres difference);
BondMovement across_bond(Millimetres difference, bool flexible, Millimetres film);
inline constexpr Millimetres kRigidBears{0.3};
inline constexpr Millimetres kRigidParts{1.0};

}  // namespace handlot::joints
