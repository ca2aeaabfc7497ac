#include "geometry/solid.h"

#include <catch2/catch.hpp>

#include <numbers>

using namespace handlot;
using namespace handlot::shapes;
using handlot::geometry::make_solid;
using std::numbers::pi;

TEST_CASE("solids of a card have the volume of their formulas", "[geometry]") {
  const auto volume = [](const SolidTree& tree) {
    const auto solid = make_solid(tree);
    REQUIRE(solid);
    CHECK(fault(*solid->mesh()) == "");
    CHECK(amounts(*solid->mesh()).volume.value == Approx(solid->amounts().volume.value).epsilon(0.02));
    return solid->amounts().volume.value;
  };
  CHECK(volume(box(2, 3, 4)) == Approx(24).epsilon(1e-9));
  CHECK(volume(cylinder(6, 10)) == Approx(pi * 90).epsilon(1e-9));
  CHECK(volume(cone(6, 0, 10)) == Approx(pi * 30).epsilon(1e-9));
  CHECK(volume(sphere(6)) == Approx(pi * 36).epsilon(1e-9));
  CHECK(volume(extrusion({{0, 0}, {4, 0}, {0, 3}}, 5)) == Approx(30).epsilon(1e-9));
  CHECK(volume(cut({box(10, 10, 2), cylinder(4, 2)})) == Approx(200 - 8 * pi).epsilon(1e-9));
  PlateShape plate{Millimetres(40), Millimetres(20), Millimetres(2), Millimetres(3), {}};
  plate.holes = {{{-15, 0}, Millimetres(4), {}}, {{15, 0}, Millimetres(4), Millimetres(6)}};
  SolidTree tree;
  tree.shape = plate;
  // Rounded rectangle less two holes, less a countersink: a cone frustum 6 to 4 over 1 mm less its bore.
  const double flat = 40 * 20 - (4 - pi) * 9 - 2 * pi * 4;
  CHECK(volume(tree) == Approx(flat * 2 - (pi / 3 * (9 + 6 + 4) - pi * 4)).epsilon(1e-9));
}

TEST_CASE("a cut that leaves nothing and a fuse of loose bodies are answered in words",
          "[geometry][errors]") {
  const auto nothing = make_solid(cut({box(2, 2, 2), box(4, 4, 4, {0, 0, -1})}));
  REQUIRE_FALSE(nothing);
  CHECK(nothing.error()[0].code == "shape-empty");
  const auto loose = make_solid(fuse({box(2, 2, 2), box(2, 2, 2, {5, 0, 0})}));
  REQUIRE_FALSE(loose);
  CHECK(loose.error()[0].code == "shape-in-pieces");
}
