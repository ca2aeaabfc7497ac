#include "joints/expansion.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace handlot::joints {
namespace {

constexpr Cite kEtb{"ETB", "linear expansion"}, kLonso{"LONSO", "materials"}, kFr4{"FR4", "data sheet"};
constexpr Cite kMem{"", "handbook values", Standing::memory};
constexpr Cite kCall{"CALLISTER", "table B.6"};
constexpr Cite kPlastics{"LONSO", "materials"};

constexpr Material row(std::string_view id, double least, double most, Cite c, double rho, Cite d) {
  return {id, PerKelvin(least), PerKelvin(most), c, rho, d};
}

constexpr std::array kMaterials{
    row("pmma", 68, 75, kEtb, 1190, kMem),      row("pc", 65, 70, kLonso, 1200, kPlastics),
    row("abs", 72, 108, kEtb, 1045, kMem),      row("pom", 85, 110, kEtb, 1410, kPlastics),
    row("pa", 81, 81, kLonso, 1130, kPlastics), row("petg", 68, 68, kMem, 1270, kMem),
    row("pla", 68, 85, kMem, 1240, kMem),       row("ps", 54, 54, kLonso, 1050, kPlastics),
    row("silicone", 270, 270, kCall, 1100, kPlastics), row("epoxy", 45, 65, kEtb, 1100, kMem),
    row("glass-epoxy", 36, 36, kEtb, 1850, kFr4),
    row("brass", 18, 19, kEtb, 8470, kMem),     row("aluminium", 21, 24, kEtb, 2700, kMem),
    row("steel", 11, 12, kEtb, 7850, kMem),     row("stainless", 16, 17, kMem, 7930, kMem),
    row("copper", 16, 17, kEtb, 8960, kMem),    row("glass", 9, 9, kEtb, 2500, kMem),
    row("fr4", 11, 17, kFr4, 1850, kFr4),
};

}  // namespace

std::span<const Material> expansion_table() { return kMaterials; }

std::optional<Material> find_material(std::string_view id) {
  for (const Material& m : kMaterials)
    if (m.id == id) return m;
  return std::nullopt;
}

Millimetres growth(Millimetres length, PerKelvin alpha, Kelvin change) {
  return length * (alpha.value * 1e-6 * change.value);
}

Millimetres mismatch(Millimetres length, PerKelvin a, PerKelvin b, Kelvin change) {
  return Millimetres(std::abs(growth(length, a - b, change).value));
}

Millimetres worst_mismatch(Millimetres length, const Material& a, const Material& b, Kelvin change) {
  return std::max(mismatch(length, a.most, b.least, change), mismatch(length, a.least, b.most, change));
}

Grams plate_mass(Millimetres length, Millimetres width, Millimetres thickness, double density_kg_m3) {
  return Grams(length.value * width.value * thickness.value * density_kg_m3 * 1e-6);
}

Millimetres flexible_bears(Millimetres film) { return std::max(Millimetres(0.5), film * 0.5); }

Millimetres flexible_film_for(Millimetres difference) { return Millimetres(std::abs(difference.value) * 2); }

BondMovement across_bond(Millimetres difference, bool flexible, Millimetres film) {
  const double moved = std::abs(difference.value);
  const double bears = flexible ? flexible_bears(film).value : kRigidBears.value;
  const double parts = flexible ? 3 * bears : kRigidParts.value;
  if (moved <= bears) return BondMovement::bears;
  return moved < parts ? BondMovement::strained : BondMovement::parts;
}

}  // namespace handlot::joints
