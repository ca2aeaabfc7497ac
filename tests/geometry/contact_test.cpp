#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

#include "geometry/pair.h"

using namespace handlot;
using namespace handlot::shapes;
using handlot::testing::Pair;
using std::numbers::pi;

namespace {

geometry::Contact contact_of(const Pair& pair, double gap = 0.05) {
  const Scene scene(pair.assembly);
  const auto found = geometry::contact(scene, pair.solids, 0, 1, Millimetres(gap));
  REQUIRE(found);
  return *found;
}

}  // namespace

// The closed forms beside each case are the truth; 0.2 % is what the issue asks for.
TEST_CASE("flat faces share the area of their overlap, exactly", "[geometry][truth]") {
  // 5 x 6 on a large plate, half of it over the edge in x: 2.5 x 6.
  const auto whole = contact_of(Pair(box(40, 40, 3), box(5, 6, 2), placed_at({0, 0, 3})));
  CHECK(whole.area.value == Approx(30).epsilon(1e-9));
  CHECK(whole.normal.z == Approx(1));
  CHECK(length(whole.middle - Vec3{0, 0, 3}) < 1e-6);
  const auto half = contact_of(Pair(box(40, 40, 3), box(5, 6, 2), placed_at({20, 0, 3})));
  CHECK(half.area.value == Approx(15).epsilon(1e-9));
}

TEST_CASE("a gap for glue is seen and measured, and a wider one is not", "[geometry][truth]") {
  const Pair pair(box(40, 40, 3), box(5, 6, 2), placed_at({0, 0, 3.1}));
  const auto glued = contact_of(pair, 0.15);
  CHECK(glued.area.value == Approx(30).epsilon(1e-9));
  CHECK(glued.least_gap.value == Approx(0.1).margin(1e-9));
  CHECK(glued.most_gap.value == Approx(0.1).margin(1e-9));
  CHECK(contact_of(pair, 0.05).area.value == 0);
}

TEST_CASE("a plate with a hole bonds on what is left of it", "[geometry][truth]") {
  const auto found =
      contact_of(Pair(cut({box(40, 40, 3), cylinder(6, 3)}), box(12, 12, 2), placed_at({0, 0, 3})));
  CHECK(found.area.value == Approx(144 - 9 * pi).epsilon(0.002));
}

TEST_CASE("a pin in its hole bonds round its side, without and with a gap", "[geometry][truth]") {
  const SolidTree block = cut({box(20, 20, 5), cylinder(6, 5)});
  // Exactly the hole: 2 pi r h. With a gap the mean of both faces: pi (r1 + r2) h.
  CHECK(contact_of(Pair(block, cylinder(6, 5))).area.value == Approx(2 * pi * 3 * 5).epsilon(0.002));
  const auto gap = contact_of(Pair(block, cylinder(5.9, 5)), 0.06);
  CHECK(gap.area.value == Approx(pi * (3 + 2.95) * 5).epsilon(0.002));
  CHECK(gap.least_gap.value == Approx(0.05).margin(1e-6));
  CHECK(gap.most_gap.value == Approx(0.05).margin(1e-6));
}

TEST_CASE("a pin half way in its hole bonds on that half", "[geometry][truth]") {
  const SolidTree block = cut({box(20, 20, 5), cylinder(6, 5)});
  CHECK(contact_of(Pair(block, cylinder(6, 5), placed_at({0, 0, 2.5}))).area.value ==
        Approx(2 * pi * 3 * 2.5).epsilon(0.002));
}

TEST_CASE("a cross hole takes its window out of a bond", "[geometry][truth]") {
  // The window that a hole of radius a cuts into a cylinder of radius R (both walls): integral over the
  // hole's own circle of the arc length R asin(x / R), done here by Simpson's rule on 2000 stretches.
  const double R = 3, a = 1;
  double window = 0;
  const int n = 2000;
  for (int i = 0; i <= n; ++i) {
    const double z = -a + 2 * a * i / n;
    const double f = 2 * R * std::asin(std::sqrt(std::max(0.0, a * a - z * z)) / R);
    window += f * (i == 0 || i == n ? 1 : i % 2 == 1 ? 4 : 2) * (2 * a / n) / 3;
  }
  const SolidTree block = cut({box(20, 20, 8), cylinder(6, 8)});
  const SolidTree pin = cut({cylinder(6, 8), moved(cylinder(2, 20), placed_at({0, 10, 4}, Degrees(90)))});
  CHECK(contact_of(Pair(block, pin)).area.value == Approx(2 * pi * R * 8 - 2 * window).epsilon(0.002));
}

TEST_CASE("a cone sits in its cone", "[geometry][truth]") {
  // Lateral area pi (r1 + r2) s.
  const SolidTree block = cut({box(20, 20, 5), cone(4, 8, 5)});
  CHECK(contact_of(Pair(block, cone(4, 8, 5))).area.value ==
        Approx(pi * (2 + 4) * std::hypot(2, 5)).epsilon(0.002));
}

TEST_CASE("a ball in its socket", "[geometry][truth]") {
  // Half a ball: 2 pi r^2.
  const SolidTree block = cut({box(20, 20, 10), sphere(8, {0, 0, 10})});
  CHECK(contact_of(Pair(block, sphere(8, {0, 0, 10}))).area.value == Approx(2 * pi * 16).epsilon(0.002));
}

TEST_CASE("contact does not depend on where the pair stands", "[geometry][property]") {
  const SolidTree block = cut({box(20, 20, 5), cylinder(6, 5)});
  Pair pair(block, cylinder(5.9, 5));
  const auto before = contact_of(pair, 0.06);
  const Placement by = placed_at({100, -40, 7}, Degrees(20), Degrees(-35), Degrees(110));
  for (Part& p : pair.assembly.parts) p.at = then(p.at, by);
  CHECK(contact_of(pair, 0.06).area.value == Approx(before.area.value).epsilon(1e-6));
}
