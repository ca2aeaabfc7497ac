// Meshes, weights, cables, screws in their holes, boards, tolerance chains.
#include <catch2/catch.hpp>

#include "shapes/board.h"
#include "shapes/cables.h"
#include "shapes/cache.h"
#include "shapes/fasteners.h"
#include "shapes/ring_room.h"
#include "shapes/simple_meshes.h"
#include "shapes/tolerance.h"

using namespace handlot;
using namespace handlot::shapes;
using namespace handlot::testing;

TEST_CASE("a mesh knows its volume, its centre and its faults", "[shapes]") {
  const Amounts a = amounts(block(2, 3, 4));
  CHECK(a.volume.value == Approx(24));
  CHECK(a.surface.value == Approx(52));
  CHECK(length(a.centre - Vec3{0, 0, 2}) < 1e-12);
  Mesh open = block(2, 3, 4);
  CHECK(fault(open).empty());
  open.triangles.pop_back();
  open.face_of.pop_back();
  CHECK(fault(open) == "its surface is open along 3 edges");
  CHECK(fault(Mesh{}) == "it has no surface");
}

// TRUTH   density of brass 8.4 to 8.7 g/cm3 is common; a 10 mm cube of 8.5 weighs 8.5 g by definition.
TEST_CASE("a unit weighs what its parts do, about their common centre", "[shapes][truth]") {
  CHECK(mass(CubicMillimetres(1000), GramsPerCubicCentimetre(8.5)).value == Approx(8.5));
  SceneMaker make;
  make.add("a", block(10, 10, 10)).mass = Grams(30);
  make.add("b", block(10, 10, 10), Vec3{40, 0, 0}).mass = Grams(10);
  make.add("c", block(10, 10, 10), Vec3{0, 90, 0});
  const Weight w = weight(make.assembly, {PartId("a"), PartId("b"), PartId("c")});
  CHECK(w.mass.value == Approx(40));
  CHECK(length(w.centre - Vec3{10, 0, 5}) < 1e-9);
  CHECK(w.without_mass == std::vector<PartId>{PartId("c")});
}

TEST_CASE("a mesh goes to bytes and back, and damaged bytes are refused", "[shapes][errors]") {
  const Mesh mesh = drum(5, 6);
  const std::string bytes = to_bytes(mesh);
  const auto back = mesh_from_bytes(bytes);
  REQUIRE(back);
  CHECK(to_bytes(*back) == bytes);
  CHECK_FALSE(mesh_from_bytes(bytes.substr(0, bytes.size() / 2)));
  CHECK_FALSE(mesh_from_bytes("handlot mesh 1\nrubbish"));
  CHECK(content_key("a") != content_key("b"));
  CHECK(content_key("a").size() == 32);
}

TEST_CASE("a cable is measured along its bends", "[shapes][truth]") {
  SceneMaker make;
  make.add("post", block(4, 4, 4), Vec3{50, 0, -2});
  const Scene scene(make.assembly);
  // A square corner of radius r is shorter than its legs by (2 - pi/2) r; the middle of a 2 mm cable bent at
  // 9 mm inside runs at r = 10.
  Cable cable{"c", Millimetres(100), Millimetres(2), Millimetres(9), {{0, 0, 0}, {30, 0, 0}, {30, 50, 0}},
              {},  Millimetres(5)};
  const CableCheck good = check_cable(scene, cable, set_of(scene, {"post"}));
  CHECK(good.closed.length.value == Approx(80 - (2 - std::numbers::pi / 2) * 10));
  CHECK(good.texts.empty());
  cable.length = Millimetres(70);
  cable.least_bend = Millimetres(40);
  cable.service_path = {{0, 0, 0}, {100, 0, 0}};
  const CableCheck bad = check_cable(scene, cable, set_of(scene, {"post"}));
  CHECK_FALSE(bad.closed.bend_ok);
  REQUIRE(bad.service.size() == 1);
  CHECK(bad.service[0].slack.value == Approx(-30));
  CHECK(bad.texts.size() == 3);  // bent too sharply, too little slack, too short when opened
  cable.closed_path = {{0, 0, 0}, {100, 0, 0}};
  CHECK(check_cable(scene, cable, set_of(scene, {"post"})).closed.through == std::vector<std::size_t>{0});
}

namespace {

/// A block with a square opening inside the round hole that it claims to have.
Mesh holed(double outer, double diameter, double height) {
  const double hole = diameter * 0.7;
  const double wall = (outer - hole) / 2;
  Mesh m = together({{block(wall, outer, height), {-(hole + wall) / 2, 0, 0}},
                     {block(wall, outer, height), {(hole + wall) / 2, 0, 0}},
                     {block(hole, wall, height), {0, -(hole + wall) / 2, 0}},
                     {block(hole, wall, height), {0, (hole + wall) / 2, 0}}});
  m.faces.push_back({Surface::Kind::cylinder, {0, 0, 0}, {0, 0, 1}, diameter / 2, true});
  return m;
}

}  // namespace

TEST_CASE("a screw knows what it goes through, how deep it holds and where its tip ends", "[shapes]") {
  SceneMaker make;
  make.add("screw", together({{drum(3, 8), {0, 0, -8}}, {drum(5.6, 2.4), {0, 0, 0}}}), Vec3{0, 0, 10});
  make.add("lid", holed(20, 3.4, 2), Vec3{0, 0, 8});
  make.add("boss", holed(20, 2.5, 5), Vec3{0, 0, 3});
  make.add("floor", block(20, 20, 1), Vec3{0, 0, 0});
  make.declare(Declared::Kind::thread, "screw", "boss");
  const Scene scene(make.assembly);
  const auto found = screw_situation(scene, 0, set_of(scene, {"screw", "lid", "boss", "floor"}));
  REQUIRE(found);
  CHECK(found->diameter.value == Approx(3));
  CHECK(found->head.value == Approx(5.6));
  CHECK(found->length.value == Approx(8));
  REQUIRE(found->layers.size() == 2);
  CHECK(found->layers[0].hole.value == Approx(3.4));
  CHECK(found->grip.value == Approx(2));
  CHECK(found->engaged.value == Approx(5));
  CHECK(found->thread_depth.value == Approx(5));
  CHECK(found->sticks_out.value == Approx(1));
  REQUIRE(found->room);
  CHECK(found->room->value == Approx(1));
  CHECK(found->head_seated);
  CHECK(doubts(scene, 0, *found).empty());
  const auto loose = screw_situation(scene, 0, set_of(scene, {"screw", "boss"}));
  REQUIRE(loose);
  CHECK_FALSE(loose->head_seated);
  CHECK(loose->unsupported.value == Approx(2));
  CHECK(doubts(scene, 0, *loose).size() == 2);
}

namespace {

/// An O-ring as CAD draws it, about z.
Mesh torus(double middle, double cord, std::uint32_t round = 48, std::uint32_t section = 24) {
  Mesh m;
  m.faces = {{Surface::Kind::torus, {0, 0, 0}, {0, 0, 1}, middle / 2, false}};
  for (std::uint32_t i = 0; i < round; ++i)
    for (std::uint32_t j = 0; j < section; ++j) {
      const double a = 2 * std::numbers::pi * i / round, b = 2 * std::numbers::pi * j / section;
      const double out = middle / 2 + cord / 2 * std::cos(b);
      m.vertices.push_back({out * std::cos(a), out * std::sin(a), cord / 2 * std::sin(b)});
    }
  const auto at = [&](std::uint32_t i, std::uint32_t j) { return i % round * section + j % section; };
  for (std::uint32_t i = 0; i < round; ++i)
    for (std::uint32_t j = 0; j < section; ++j) {
      m.triangles.push_back({at(i, j), at(i + 1, j), at(i + 1, j + 1)});
      m.triangles.push_back({at(i, j), at(i + 1, j + 1), at(i, j + 1)});
      m.face_of.insert(m.face_of.end(), {0, 0});
    }
  return m;
}

}  // namespace

TEST_CASE("a ring that is drawn as a torus finds its room as one of a square section does", "[shapes]") {
  SceneMaker make;
  REQUIRE(fault(torus(22, 2)).empty());
  make.add("ring", torus(22, 2), Vec3{0, 0, 5});
  make.add("floor", block(40, 40, 4.2), Vec3{0, 0, 0});
  make.add("cover", block(40, 40, 3), Vec3{0, 0, 5.8});
  const Scene scene(make.assembly);
  const auto room = ring_room(scene, 0, Millimetres(15));
  REQUIRE(room);
  CHECK(room->inner.value == Approx(20));
  CHECK(room->outer.value == Approx(24));
  CHECK(room->height.value == Approx(2));
  REQUIRE((room->below && room->above));
  CHECK(room->below->away.value == Approx(0.8));
  CHECK(room->above->away.value == Approx(0.8));
  SceneMaker flat;
  Mesh squashed = torus(22, 2);
  for (Vec3& v : squashed.vertices) v.z *= 0.8;  // as it lies: not the cord that it was
  flat.add("ring", squashed, Vec3{0, 0, 5});
  CHECK_FALSE(ring_room(Scene(flat.assembly), 0, Millimetres(15)));
}

// TRUTH   chips.csv of the shared reference: 0603 is 1.60 x 0.80 x 0.45 mm, 0402 metric is 0.40 x 0.20 x 0.13
// mm.
TEST_CASE("a board stands as its outline and its components as their bodies", "[shapes][truth]") {
  CHECK(chip_body("0603")->length.value == Approx(1.60));
  CHECK(chip_body("0603", true)->length.value == Approx(0.60));
  CHECK(chip_body("0402", true)->width.value == Approx(0.20));
  CHECK_FALSE(chip_body("0604"));
  Board board{{{0, 0}, {30, 0}, {30, 20}, {0, 20}}, Millimetres(1.6), {{{3, 3}, Millimetres(2.7), {}}}, {}};
  board.components.push_back({"R1", {10, 10}, Degrees(90), false, *chip_body("0805")});
  board.components.push_back({"R2", {20, 10}, Degrees(0), true, *chip_body("0805")});
  board.components.push_back({"J1", {20, 15}, Degrees(0), false, {}});
  const auto made = board_solids(board);
  REQUIRE(made);
  CHECK(made->without_body == std::vector<std::string>{"J1"});
  REQUIRE(made->components.size() == 2);
  CHECK(made->components[0].second.at.shift == Vec3{10, 10, 1.6});
  CHECK(made->components[1].second.at.direction({0, 0, 1}) == Vec3{0, 0, -1});
  board.outline = {{0, 0}, {30, 0}};
  CHECK_FALSE(board_solids(board));
}

TEST_CASE("a chain adds limits at worst and by the root of squares, and a measured size replaces its nominal",
          "[shapes][truth]") {
  // Slot 20 +-0.2 less two plates 9.6 +-0.1: gap 0.8; worst 0.4 to 1.2; root of squares sqrt(0.04 + 0.01 +
  // 0.01) = 0.2449.
  std::vector<Link> links{{"slot", Millimetres(20), Millimetres(0.2), Millimetres(0.2), 1, {}, {}},
                          {"plate", Millimetres(9.6), Millimetres(0.1), Millimetres(0.1), -1, {}, {}},
                          {"plate", Millimetres(9.6), Millimetres(0.1), Millimetres(0.1), -1, {}, {}}};
  const Chain c = chain(links);
  CHECK(c.nominal.value == Approx(0.8));
  CHECK(c.worst_low.value == Approx(0.4));
  CHECK(c.worst_high.value == Approx(1.2));
  CHECK(c.rss_low.value == Approx(0.8 - 0.244949).epsilon(1e-5));
  CHECK(judge_gap(links, Millimetres(0.4)).kind == GapVerdict::Kind::holds);
  CHECK(judge_gap(links, Millimetres(0.5)).kind == GapVerdict::Kind::likely);
  CHECK(judge_gap(links, Millimetres(0.6)).kind == GapVerdict::Kind::fails);
  links[0].measured = Millimetres(20.15);
  CHECK(judge_gap(links, Millimetres(0.6)).kind == GapVerdict::Kind::holds);
  CHECK(say(judge_gap(links, Millimetres(0.6))) ==
        "0.6 mm asked: 0.75 to 1.15 mm at worst, 0.809 to 1.091 mm nearly always");
  CHECK(usual_making("printed")->tolerance.value == Approx(0.2));
  REQUIRE_FALSE(usual_making("prnted"));
  CHECK(usual_making("prnted").error()[0].mend == "write 'printed'");
}
