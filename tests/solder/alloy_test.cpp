#include "solder/alloy.h"

#include <catch2/catch.hpp>

using namespace handlot;
using namespace handlot::solder;

TEST_CASE("D14-D16: five balls, and the coarsest powder", "[solder][truth]") {
  // SMT007 July 2019 p. 34 (method, after IPC-7525) with J-STD-005 ranges; just-solder.de for D15.
  const int types[] = {3, 4, 5, 6, 7};
  const double five[] = {225, 190, 125, 75, 55};
  for (int i = 0; i < 5; ++i)
    CHECK(smallest_aperture(*powder(types[i])).value * 1000 == Approx(five[i]).margin(1e-9));
  CHECK(coarsest_type(Millimetres(0.100)) == 6);  // type 5 has balls of 25 um, five of which need 125 um
  CHECK(coarsest_type(Millimetres(0.225)) == 3);
  CHECK(coarsest_type(Millimetres(0.224)) == 4);
  CHECK_FALSE(coarsest_type(Millimetres(0.05)).has_value());
}

TEST_CASE("E1-E3, E5: paste density and its metal", "[solder][truth]") {
  // E1: indium.com/blog/calculating-solder-paste-usage-1.php, printed 4.14 g/cm3 for 87.75 % SAC305.
  CHECK(paste_density(0.8775, GramsPerCubicCentimetre(7.37)).value == Approx(4.14).margin(0.005));
  CHECK(paste_density(0.8775, GramsPerCubicCentimetre(7.38)).value == Approx(4.14).margin(0.005));
  // E2: same page, 0.012 x 0.012 x 0.004 inch, printed 0.0000391 g.
  const double cm3 = 0.012 * 0.012 * 0.004 * 2.54 * 2.54 * 2.54;
  CHECK(cm3 == Approx(9.4389e-6).margin(1e-10));
  CHECK(cm3 * 4.14 == Approx(3.9077e-5).margin(1e-8));
  CHECK(paste_density(0.90, GramsPerCubicCentimetre(8.40)).value == Approx(4.8276).margin(1e-4));
  CHECK(metal_by_volume(0.90, GramsPerCubicCentimetre(8.40)) == Approx(0.5172).margin(1e-4));
  CHECK(metal_by_volume(0.885, GramsPerCubicCentimetre(7.38)) == Approx(0.5105).margin(1e-4));
}

TEST_CASE("alloys are found by id and by composition, and melt in order", "[solder]") {
  CHECK(alloy("SAC305")->density->value == 7.38);
  CHECK(alloy("Sn96.5Ag3.0Cu0.5") == alloy("SAC305"));
  CHECK(alloy("unobtainium") == nullptr);
  for (const Alloy& a : alloys()) {
    CHECK(a.solidus <= a.liquidus);
    CHECK_FALSE(a.source.key.empty());
  }
}
