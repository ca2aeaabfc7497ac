#include "solder/alloy.h"

#include <array>
#include <cassert>
#include <cmath>

namespace handlot::solder {

std::span<const Alloy> alloys() {
  // Sources as printed in ../shared/reference/data/alloys.csv (read 2026-11-25). Where makers print several
  // figures the first source's is kept; others: Sn63 8.3 and 8.42, SAC305 217 to 221 and 7.5.
  static const std::array<Alloy, 13> kTable{{
      {"Sn63Pb37",
       "Sn63Pb37",
       Celsius(183),
       Celsius(183),
       GramsPerCubicCentimetre(8.40),
       {"ALASIR", "row Sn63Pb37", Standing::read}},
      {"Sn62Pb36Ag2",
       "Sn62Pb36Ag2",
       Celsius(179),
       Celsius(179),
       GramsPerCubicCentimetre(8.5),
       {"MULTICORE", "row Sn62", Standing::read}},
      {"Sn60Pb40",
       "Sn60Pb40",
       Celsius(183),
       Celsius(191),
       GramsPerCubicCentimetre(8.50),
       {"ALASIR", "row Sn60Pb40", Standing::read}},
      {"SAC305",
       "Sn96.5Ag3.0Cu0.5",
       Celsius(217),
       Celsius(220),
       GramsPerCubicCentimetre(7.38),
       {"ALASIR", "row SAC305", Standing::read}},
      {"SAC387",
       "Sn95.5Ag3.8Cu0.7",
       Celsius(217),
       Celsius(220),
       GramsPerCubicCentimetre(7.44),
       {"ALASIR", "row SAC387", Standing::read}},
      {"SAC405",
       "Sn95.5Ag4.0Cu0.5",
       Celsius(217),
       Celsius(220),
       GramsPerCubicCentimetre(7.44),
       {"ALASIR", "row SAC405", Standing::read}},
      {"SAC105",
       "Sn98.5Ag1.0Cu0.5",
       Celsius(215),
       Celsius(227),
       GramsPerCubicCentimetre(7.32),
       {"ALASIR", "row SAC105", Standing::read}},
      {"SAC0307",
       "Sn99Ag0.3Cu0.7",
       Celsius(217),
       Celsius(228),
       GramsPerCubicCentimetre(7.33),
       {"ALASIR", "row SAC0307", Standing::read}},
      {"Sn96.5Ag3.5",
       "Sn96.5Ag3.5",
       Celsius(221),
       Celsius(221),
       GramsPerCubicCentimetre(7.37),
       {"ALASIR", "row Sn96.5Ag3.5", Standing::read}},
      {"Sn99.3Cu0.7",
       "Sn99.3Cu0.7",
       Celsius(227),
       Celsius(227),
       GramsPerCubicCentimetre(7.31),
       {"ALASIR", "row Sn99.3Cu0.7", Standing::read}},
      {"SN100C",
       "Sn99.3Cu0.7NiGe",
       Celsius(227),
       Celsius(227),
       std::nullopt,
       {"OPTIMA", "table", Standing::read}},
      {"Sn42Bi58",
       "Sn42Bi58",
       Celsius(138),
       Celsius(138),
       GramsPerCubicCentimetre(8.56),
       {"INDALLOY", "density; 138 degC is read in OPTIMA and FCT", Standing::memory}},
      {"Sn42Bi57Ag1",
       "Sn42Bi57Ag1",
       Celsius(138),
       Celsius(138),
       GramsPerCubicCentimetre(8.6),
       {"MG4902P", "properties", Standing::read}},
  }};
  return kTable;
}

const Alloy* alloy(std::string_view id) {
  for (const Alloy& a : alloys()) {
    if (a.id == id || a.name == id) return &a;
  }
  return nullptr;
}

std::span<const Powder> powders() {
  // J-STD-005 ranges as printed at just-solder.de (read 2026-11-25). A web guide prints 20-45 for type 3 and
  // 10-25 for type 5: not used.
  static const auto row = [](int type, double small, double large) {
    return Powder{type,
                  Millimetres(small / 1000),
                  Millimetres(large / 1000),
                  {"JSTD005", "powder types", Standing::read}};
  };
  static const std::array<Powder, 5> kTable{row(3, 25, 45), row(4, 20, 38), row(5, 15, 25), row(6, 5, 15),
                                            row(7, 2, 11)};
  return kTable;
}

const Powder* powder(int type) {
  for (const Powder& p : powders()) {
    if (p.type == type) return &p;
  }
  return nullptr;
}

Millimetres smallest_aperture(const Powder& powder) {
  return 5 * powder.largest;
}

std::optional<int> coarsest_type(Millimetres aperture) {
  constexpr double kSlack = 1e-9;  // mm: 5 x 0.045 is not 0.225 to the last bit
  for (const Powder& p : powders()) {
    if (aperture.value + kSlack >= smallest_aperture(p).value) return p.type;
  }
  return std::nullopt;
}

GramsPerCubicCentimetre paste_density(double metal, GramsPerCubicCentimetre alloy,
                                      GramsPerCubicCentimetre flux) {
  assert(metal > 0 && metal <= 1 && alloy.value > 0 && flux.value > 0);
  return GramsPerCubicCentimetre(1 / (metal / alloy.value + (1 - metal) / flux.value));
}

double metal_by_volume(double metal, GramsPerCubicCentimetre alloy, GramsPerCubicCentimetre flux) {
  return metal / alloy.value * paste_density(metal, alloy, flux).value;
}

}  // namespace handlot::solder
