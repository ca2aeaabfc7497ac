#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

#include "geometry/pair.h"

using namespace handlot;
using namespace handlot::shapes;
using handlot::geometry::Overlap;
using handlot::testing::Pair;
using std::numbers::pi;

namespace {

std::vector<Overlap> overlaps(const Pair& pair) {
  const Scene scene(pair.assembly);
  const auto found = geometry::interference(scene, pair.solids);
  CHECK(found.not_checked.empty());
  return found.overlaps;
}

std::string sentence(const Pair& pair) {
  const Scene scene(pair.assembly);
  const auto found = geometry::interference(scene, pair.solids);
  REQUIRE(found.overlaps.size() == 1);
  return geometry::say(scene, found.overlaps.front());
}

}  // namespace

TEST_CASE("touching is no interference", "[geometry]") {
  CHECK(overlaps(Pair(box(10, 10, 5), box(4, 4, 2), placed_at({0, 0, 5}))).empty());      // face on face
  CHECK(overlaps(Pair(box(10, 10, 5), box(10, 10, 5), placed_at({10, 10, 0}))).empty());  // edge on edge
  CHECK(overlaps(Pair(box(10, 10, 5), cylinder(6, 10), placed_at({8, 0, -2}))).empty());  // round on flat
  CHECK(
      overlaps(Pair(cut({box(20, 20, 5), cylinder(6, 5)}), cylinder(6, 9))).empty());  // pin in its own hole
  CHECK(overlaps(Pair(cut({box(20, 20, 5), cylinder(6, 5)}), cylinder(6, 3), placed_at({0, 0, 1}))).empty());
  CHECK(overlaps(Pair(cut({box(20, 20, 10), sphere(8, {0, 0, 10})}), sphere(8, {0, 0, 10}))).empty());
  CHECK(overlaps(Pair(cut({box(20, 20, 5), box(6, 6, 5)}), box(6, 6, 5))).empty());  // peg in its square hole
}

TEST_CASE("a hundredth of a millimetre too much is interference, by how much and where", "[geometry]") {
  const auto flat = overlaps(Pair(box(10, 10, 5), box(4, 4, 2), placed_at({0, 0, 4.99})));
  REQUIRE(flat.size() == 1);
  CHECK(flat[0].volume.value == Approx(0.16).epsilon(1e-6));
  CHECK(flat[0].depth.value == Approx(0.01).epsilon(1e-4));
  CHECK(length(flat[0].where - Vec3{0, 0, 4.995}) < 1e-6);
  // A pin a hundredth thicker than its hole: pi (3.01^2 - 3^2) h.
  const auto round = overlaps(Pair(cut({box(20, 20, 5), cylinder(6, 5)}), cylinder(6.02, 5)));
  REQUIRE(round.size() == 1);
  CHECK(round[0].volume.value == Approx(pi * (3.01 * 3.01 - 9) * 5).epsilon(1e-4));
  // The same section pushed into itself from the end: no face crosses another.
  const auto end = overlaps(Pair(box(10, 10, 5), box(10, 10, 5), placed_at({0, 0, 4.99})));
  REQUIRE(end.size() == 1);
  CHECK(end[0].volume.value == Approx(1).epsilon(1e-6));
}

TEST_CASE("a part wholly inside another is said to be so", "[geometry]") {
  CHECK(sentence(Pair(box(20, 20, 20), sphere(6, {0, 0, 10}))) == "the part b lies wholly inside the part a");
  CHECK(sentence(Pair(sphere(6, {0, 0, 10}), box(20, 20, 20))) == "the part a lies wholly inside the part b");
  // In a hollow it does not.
  CHECK(overlaps(Pair(cut({box(20, 20, 20), box(10, 10, 10, {0, 0, 5})}), sphere(6, {0, 0, 10}))).empty());
}

TEST_CASE("parts that already overlap are told with the amount", "[geometry]") {
  CHECK(sentence(Pair(box(10, 10, 5), box(4, 4, 2), placed_at({0, 0, 4}))) ==
        "the part a and the part b share 16 mm3, 1 mm deep, at (0, 0, 4.5)");
}

TEST_CASE("how deep is the shift that frees them", "[geometry]") {
  const auto deep = [](const SolidTree& a, const SolidTree& b, const Placement& at) {
    const auto found = overlaps(Pair(a, b, at));
    REQUIRE(found.size() == 1);
    return found[0].depth.value;
  };
  const SolidTree cube = box(20, 20, 20);
  // Worked by hand: each is how far one goes through a flat face of the other.
  CHECK(deep(cube, cube, placed_at({19.5, 0, 0})) == Approx(0.5).margin(1e-4));
  CHECK(deep(cube, cube, placed_at({18, 0, 0})) == Approx(2).margin(1e-4));
  CHECK(deep(cube, cube, placed_at({18.5, 18.5, 18.5})) == Approx(1.5).margin(1e-4));  // corner in corner
  CHECK(deep(box(60, 60, 20), box(20, 20, 20, {0, 0, -10}), placed_at({0, 0, 20 + 10 * std::sqrt(2.0) - 1}, Degrees(45), Degrees(0), Degrees(0))) ==
        Approx(1).margin(1e-4));                                                                   // an edge
  CHECK(deep(cylinder(6, 10), box(40, 30, 1.6), placed_at({21.5, 0, 4})) == Approx(1.5).margin(1e-4));  // a board's edge in a boss
  CHECK(deep(box(30, 30, 2.5), cut({cylinder(4.6, 5.7), cylinder(3, 5.7)}), placed_at({0, 0, -4.7})) == Approx(1).margin(1e-4));  // an insert that stands proud
  CHECK(deep(box(30, 30, 20), cylinder(3, 10), placed_at({16.2, 0, 5})) == Approx(0.3).margin(1e-4));  // a screw in a wall
  // Two balls of 10 whose middles are 9 apart, askew: 1 along the line of the middles.
  CHECK(deep(sphere(10), sphere(10), placed_at({3, 6, 6})) == Approx(1).margin(1e-3));
}

TEST_CASE("where no short shift frees them, no depth is told", "[geometry]") {
  const auto tight = overlaps(Pair(cut({box(20, 20, 5), cylinder(6, 5)}), cylinder(6.02, 5)));
  REQUIRE(tight.size() == 1);
  CHECK(tight[0].depth.value == 0);
  CHECK(sentence(Pair(cut({box(20, 20, 5), cylinder(6, 5)}), cylinder(6.02, 5))) == "the part a and the part b share 0.944 mm3, at (0, 0, 2.5)");
  // Held in two places: the place is one of them, not the middle between.
  const auto held = overlaps(Pair(cut({box(30, 10, 10), box(20, 10, 10, {0, 0, 5})}), box(21, 10, 3), placed_at({0.2, 0, 6})));
  REQUIRE(held.size() == 1);
  CHECK(held[0].depth.value == 0);
  CHECK(held[0].where.x == Approx(10.35).margin(1e-6));
}

TEST_CASE("a press fit is one by declaration, never by geometry", "[geometry]") {
  Pair pair(cut({box(20, 20, 5), cylinder(6, 5)}), cylinder(6.02, 5));
  CHECK(overlaps(pair)[0].kind == Overlap::Kind::overlap);
  pair.declare(Declared::Kind::press_fit);
  CHECK(overlaps(pair)[0].kind == Overlap::Kind::press_fit);
  CHECK(sentence(pair).rfind("the part a and the part b are a press fit: they share 0.944 mm3", 0) == 0);
}

TEST_CASE("a screw in a plain hole overlaps; declared as a thread it is one", "[geometry]") {
  // Core hole of M3 x 0.5: 3 - 1.0825 x 0.5 = 2.459 mm.
  SolidTree thread;
  thread.shape = ThreadShape{Millimetres(3), Millimetres(0.5), Millimetres(8), true};
  SolidTree screw;
  screw.shape = ThreadShape{Millimetres(3), Millimetres(0.5), Millimetres(6), false};
  Pair pair(cut({box(10, 10, 8), thread}), screw, placed_at({0, 0, 2}));
  const auto found = overlaps(pair);
  REQUIRE(found.size() == 1);
  CHECK(found[0].volume.value == Approx(pi * (1.5 * 1.5 - 1.229367 * 1.229367) * 6).epsilon(1e-4));
  pair.declare(Declared::Kind::thread);
  CHECK(sentence(pair) == "the part a and the part b share their thread, as declared");
}

TEST_CASE("meshing gears are named, not measured", "[geometry]") {
  Pair pair(cylinder(21, 4), cylinder(11, 4), placed_at({15, 0, 0}));
  pair.declare(Declared::Kind::gears);
  CHECK(sentence(pair) == "the part a and the part b mesh, as declared; their teeth are not judged");
}

TEST_CASE("a limit on exact checks leaves a list of what was not checked", "[geometry]") {
  const Pair pair(box(10, 10, 5), box(4, 4, 2), placed_at({0, 0, 4}));
  const Scene scene(pair.assembly);
  geometry::InterferenceRules rules;
  rules.exact = 0;
  const auto found = geometry::interference(scene, pair.solids, rules);
  CHECK(found.overlaps.empty());
  REQUIRE(found.not_checked.size() == 1);
  CHECK(found.not_checked[0] == std::pair<std::size_t, std::size_t>{0, 1});
}

TEST_CASE("the exact gap between two parts", "[geometry][truth]") {
  const Pair pair(sphere(6), sphere(4), placed_at({3, 4, 12}));
  const Scene scene(pair.assembly);
  const auto found = geometry::clearance(scene, pair.solids, 0, 1);
  REQUIRE(found);
  CHECK(found->gap.value == Approx(13.0 - 5).epsilon(1e-9));
}
