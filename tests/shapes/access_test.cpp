#include "shapes/access.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "shapes/simple_meshes.h"

using namespace handlot;
using namespace handlot::shapes;
using namespace handlot::testing;

namespace {

Tool round_tool(double diameter, double lean = 0) {
  return {
      "t", {{Millimetres(0), Millimetres(100), Millimetres(diameter), {}}}, Degrees(lean), Millimetres(0.5)};
}

}  // namespace

TEST_CASE("room beside a tool is the distance to the wall less its radius", "[shapes][truth]") {
  SceneMaker make;
  make.add("floor", block(40, 40, 2));
  make.add("wall", block(2, 40, 30), Vec3{4, 0, 2});  // its face stands at x = 3
  const Scene scene(make.assembly);
  const PartSet all = set_of(scene, {"floor", "wall"}), none(scene.size());
  const Spot spot{{0, 0, 2}, {0, 0, 1}};
  CHECK(access(scene, round_tool(4), spot, all, none).verdict == Access::Verdict::free);
  const Access tight = access(scene, round_tool(5.5), spot, all, none);
  CHECK(tight.verdict == Access::Verdict::tight);
  CHECK(tight.room.value == Approx(0.25));
  CHECK(say(scene, tight).rfind("tight: 0.25 mm beside the wall", 0) == 0);
  const Access blocked = access(scene, round_tool(8), spot, all, none);
  CHECK(blocked.verdict == Access::Verdict::blocked);
  CHECK(blocked.room.value == Approx(-1));
  CHECK(blocked.by == std::vector<std::size_t>{1});
  CHECK(access(scene, round_tool(8), spot, all, set_of(scene, {"wall"})).verdict == Access::Verdict::free);
}

TEST_CASE("what is wide further up needs its room only from there on", "[shapes]") {
  SceneMaker make;
  make.add("wall", block(2, 40, 30), Vec3{6, 0, 0});  // from x = 5, up to z = 30
  const Scene scene(make.assembly);
  const PartSet all = set_of(scene, {"wall"}), none(scene.size());
  Tool driver{"d",
              {{Millimetres(0), Millimetres(40), Millimetres(4), {}},
               {Millimetres(40), Millimetres(120), Millimetres(20), {}}},
              {},
              {}};
  CHECK(access(scene, driver, {{0, 0, 0}, {0, 0, 1}}, all, none).verdict == Access::Verdict::free);
  driver.stretches[1].from = Millimetres(20);
  const Access a = access(scene, driver, {{0, 0, 0}, {0, 0, 1}}, all, none);
  CHECK(a.verdict == Access::Verdict::blocked);
  CHECK(a.room.value == Approx(-5));
}

TEST_CASE("an iron that may lean gets past a wall that stops a straight one", "[shapes]") {
  SceneMaker make;
  make.add("roof", block(10, 40, 2), Vec3{4, 0, 20});  // over the spot, its edge at x = -1
  const Scene scene(make.assembly);
  const PartSet all = set_of(scene, {"roof"}), none(scene.size());
  const Spot spot{{0, 0, 0}, {0, 0, 1}};
  CHECK(access(scene, round_tool(3), spot, all, none).verdict == Access::Verdict::blocked);
  const Access leaning = access(scene, round_tool(3, 45), spot, all, none);
  CHECK(leaning.verdict == Access::Verdict::free);
  CHECK(leaning.lean.value > 0);
}

TEST_CASE("flat jaws pass where a round tool of their width does not", "[shapes]") {
  SceneMaker make;
  make.add("left", block(4, 40, 30), Vec3{-4, 0, 0});  // a slot 4 mm wide in x
  make.add("right", block(4, 40, 30), Vec3{4, 0, 0});
  const Scene scene(make.assembly);
  const PartSet all = set_of(scene, {"left", "right"}), none(scene.size());
  Tool jaws{"j", {{Millimetres(0), Millimetres(50), Millimetres(2), Millimetres(10)}}, {}, Millimetres(0.2)};
  CHECK(access(scene, jaws, {{0, 0, 1}, {0, 0, 1}}, all, none).verdict == Access::Verdict::free);
  CHECK(access(scene, round_tool(10), {{0, 0, 1}, {0, 0, 1}}, all, none).verdict == Access::Verdict::blocked);
}

TEST_CASE("more parts never give more room", "[shapes][property]") {
  const Assembly assembly = scattered(11, 16, 14);
  const Scene scene(assembly);
  const PartSet none(scene.size());
  PartSet there(scene.size());
  double room = 1e9;
  for (std::size_t i = 0; i < scene.size(); ++i) {
    there.add(i);
    const double now = access(scene, round_tool(3), {{0, 0, 0}, unit({1, 2, 5})}, there, none).room.value;
    CHECK(now <= room);
    room = now;
  }
}

TEST_CASE("the head of a screw is its wide end", "[shapes]") {
  SceneMaker make;
  make.add("screw", together({{drum(3, 8), {0, 0, -8}}, {drum(6, 2), {0, 0, 0}}}),
           placed_at({5, 6, 7}, Degrees(180)));
  const Scene scene(make.assembly);
  const auto head = head_of(scene, 0);
  REQUIRE(head);
  CHECK(length(head->axis - Vec3{0, 0, -1}) < 1e-9);
  CHECK(length(head->at - Vec3{5, 6, 5}) < 1e-9);
}

TEST_CASE("a leaning tool is blocked by two walls together that neither blocks alone", "[shapes][twin]") {
  // Roofs on both sides of the spot, with a slit of 1 mm between them: straight up nothing passes, to one side only
  // where the other roof is not.
  SceneMaker make;
  make.add("left", block(60, 80, 2), Vec3{-30.5, 0, 20});
  make.add("right", block(60, 80, 2), Vec3{30.5, 0, 20});
  const Scene scene(make.assembly);
  const PartSet both = set_of(scene, {"left", "right"}), none(scene.size());
  const Tool iron = round_tool(6, 45);
  const Spot spot{{0, 0, 0}, {0, 0, 1}};
  const auto ways = in_the_way_of(scene, iron, spot, both, none);
  REQUIRE_FALSE(ways.empty());
  // Twin: a way is open for a set of parts when none of its blockers is among them. access() finds the same.
  for (const PartSet& in : {none, set_of(scene, {"left"}), set_of(scene, {"right"}), both}) {
    const bool open = std::any_of(ways.begin(), ways.end(), [&](const PartSet& w) { return !w.meets(in); });
    CHECK(open == (access(scene, iron, spot, in, none).verdict != Access::Verdict::blocked));
  }
  CHECK(access(scene, iron, spot, both, none).verdict == Access::Verdict::blocked);
  CHECK(access(scene, iron, spot, set_of(scene, {"left"}), none).verdict != Access::Verdict::blocked);
}
