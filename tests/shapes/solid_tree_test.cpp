#include "shapes/solid_tree.h"

#include <catch2/catch.hpp>

#include <cmath>

#include "shapes/mesh.h"

using namespace handlot;
using namespace handlot::shapes;

TEST_CASE("a tree without fault is accepted and described the same every time", "[shapes]") {
  const SolidTree tree = cut({box(10, 20, 5), cylinder(3, 5), moved(cylinder(2, 5), placed_at({4, 0, 0}))});
  CHECK(faults(tree).empty());
  CHECK(describe(tree) == "cut(box 10 20 5 cylinder 3 5 cylinder 2 5@1,0,0,0,1,0,0,0,1,4,0,0 ) ");
}

TEST_CASE("sizes that give no solid are answered with the size and a mend, all at once", "[shapes][errors]") {
  SolidTree tree = cut({box(10, 0, 5), cylinder(-3, 5), sphere(std::nan(""))});
  const Diagnostics found = faults(tree);
  REQUIRE(found.size() == 3);
  for (const Diagnostic& d : found) {
    CHECK(d.code == "shape-size");
    CHECK_FALSE(d.mend.empty());
  }
  CHECK(found[0].text == "y is 0 mm, which gives no solid");
}

TEST_CASE("an outline whose edges cross is refused with the edges named", "[shapes][errors]") {
  const Diagnostics found = faults(extrusion({{0, 0}, {10, 10}, {10, 0}, {0, 10}}, 3));
  REQUIRE(found.size() == 1);
  CHECK(found[0].text == "edges 1 and 3 of an outline cross");
}

TEST_CASE("endless nesting is refused, not followed", "[shapes][errors]") {
  SolidTree tree = box(1, 1, 1);
  for (int i = 0; i < 200; ++i) tree = fuse({tree});
  const Diagnostics found = faults(tree);
  REQUIRE(found.size() == 1);
  CHECK(found[0].code == "shape-too-deep");
}

TEST_CASE("a quarter turn is exact and placements undo", "[shapes][property]") {
  const Placement p = placed_at({1, 2, 3}, Degrees(90), Degrees(0), Degrees(180));
  const Vec3 q = p.point({1, 0, 0});
  CHECK(q == Vec3{0, 2, 3});
  const Placement back = then(p, inverse(p));
  CHECK(length(back.point({4, 5, 6}) - Vec3{4, 5, 6}) < 1e-12);
}
