#include "shapes/blocking.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <limits>

#include "shapes/simple_meshes.h"

using namespace handlot;
using namespace handlot::shapes;
using namespace handlot::testing;

namespace {

/// Slow twin: lines along the motion on a fine grid; the part is blocked when, on some of them, it has a
/// stretch of the other in front of it. Returns the share of lines that say so and the least free travel.
struct Lines {
  double area = 0;
  double free = std::numeric_limits<double>::infinity();
};

std::vector<double> heights(const Body& body, const Placement& turn, double x, double y) {
  std::vector<double> found;
  for (const auto& t : body.mesh->triangles) {
    const Vec3 a = turn.direction(body.vertices[t[0]]), b = turn.direction(body.vertices[t[1]]),
               c = turn.direction(body.vertices[t[2]]);
    const double d = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    if (std::abs(d) < 1e-12) continue;
    const double u = ((x - a.x) * (c.y - a.y) - (y - a.y) * (c.x - a.x)) / d,
                 v = ((b.x - a.x) * (y - a.y) - (b.y - a.y) * (x - a.x)) / d;
    if (u >= 0 && v >= 0 && u + v <= 1) found.push_back(a.z + u * (b.z - a.z) + v * (c.z - a.z));
  }
  std::sort(found.begin(), found.end());
  return found;
}

Lines by_lines(const Scene& scene, std::size_t part, std::size_t other, Vec3 along, double pitch) {
  const Placement turn = looking_along(along);
  Box box;
  for (const Vec3& v : scene.body(part).vertices) box.add(turn.direction(v));
  Lines lines;
  for (double x = box.low.x + pitch / 2; x < box.high.x; x += pitch)
    for (double y = box.low.y + pitch / 2; y < box.high.y; y += pitch) {
      const auto mine = heights(scene.body(part), turn, x, y),
                 theirs = heights(scene.body(other), turn, x, y);
      double free = std::numeric_limits<double>::infinity();
      for (double m : mine)
        for (double t : theirs)
          if (t > m) free = std::min(free, t - m);
      if (std::isinf(free)) continue;
      lines.area += pitch * pitch;
      lines.free = std::min(lines.free, free);
    }
  return lines;
}

}  // namespace

TEST_CASE("a lid blocks what is under it upwards and nothing else", "[shapes]") {
  SceneMaker make;
  make.add("tub", tub(30, 30, 20, 2));
  make.add("peg", block(4, 4, 4), Vec3{0, 0, 2});
  make.add("lid", block(30, 30, 2), Vec3{0, 0, 18});
  const Scene scene(make.assembly);
  const std::vector<Vec3> six{{0, 0, 1}, {0, 0, -1}, {1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}};
  const Blocking table = blocking(scene, six);
  const auto names = [&](std::size_t d, const char* id) {
    std::string out;
    for (std::size_t b : table.blockers(d, *scene.find(PartId(id))).list())
      out += scene.part(b).id.text + " ";
    return out;
  };
  CHECK(names(0, "peg") == "lid ");
  CHECK(names(1, "peg") == "tub ");
  CHECK(names(2, "peg") == "tub ");
  CHECK(names(0, "lid") == "");
  CHECK(names(1, "lid") == "tub peg ");
  CHECK(names(2, "lid") == "");  // it slides on the rim
  CHECK(free_travel(scene, 1, 2, {0, 0, 1}) == Approx(12));
  CHECK(free_travel(scene, 1, 0, {1, 0, 0}) == Approx(11));
  CHECK(std::isinf(free_travel(scene, 2, 0, {0, 0, 1})));
}

TEST_CASE("A blocks B along d exactly when B blocks A along -d", "[shapes][property]") {
  const Assembly assembly = scattered(3, 20, 12);
  const Scene scene(assembly);
  const std::vector<Vec3> d{{0, 0, 1}, unit({1, 2, 3}), unit({-2, 1, 0.5})};
  std::vector<Vec3> both = d;
  for (Vec3 v : d) both.push_back(-v);
  const Blocking table = blocking(scene, both);
  for (std::size_t k = 0; k < d.size(); ++k) {
    const Blocking alone = blocking(scene, std::span(&both[k + d.size()], 1));
    for (std::size_t a = 0; a < scene.size(); ++a) {
      CHECK(alone.blockers(0, a) == table.blockers(k + d.size(), a));
      for (std::size_t b : table.blockers(k, a).list()) CHECK(table.blockers(k + d.size(), b).has(a));
    }
  }
}

TEST_CASE("blocking agrees with lines along the motion", "[shapes][twin]") {
  std::size_t compared = 0;
  for (unsigned seed : {1U, 2U, 3U, 4U, 5U}) {
    const Assembly assembly = scattered(seed, 8, 16);
    const Scene scene(assembly);
    for (Vec3 along : {Vec3{0, 0, 1}, unit({1, -1, 2})})
      for (std::size_t a = 0; a < scene.size(); ++a)
        for (std::size_t b = 0; b < scene.size(); ++b) {
          // Overlapping pairs are the business of the interference check.
          if (a == b || scene.body(a).box.grown(0.1).meets(scene.body(b).box)) continue;
          const bool ours = blocked(scene, a, b, along);
          const double free = free_travel(scene, a, b, along);
          Lines lines = by_lines(scene, a, b, along, 0.35);
          // Where they differ, lines seven times as dense decide.
          const bool same = ours == (lines.area > 0) && (!ours || std::abs(free - lines.free) < 0.5);
          if (!same) lines = by_lines(scene, a, b, along, 0.05);
          ++compared;
          INFO("seed " << seed << ", " << a << " past " << b);
          CHECK(ours == (lines.area > 0));
          if (ours) CHECK(free == Approx(lines.free).margin(0.5));
        }
  }
  CHECK(compared > 300);
}

TEST_CASE("a screw leaves its thread along its axis only", "[shapes]") {
  SceneMaker make;
  // A ring of four blocks stands for the nut, its hole smaller than the screw.
  shapes::Mesh nut = together({{block(2, 8, 3), {-3, 0, 0}},
                               {block(2, 8, 3), {3, 0, 0}},
                               {block(4, 2, 3), {0, -3, 0}},
                               {block(4, 2, 3), {0, 3, 0}}});
  nut.faces.push_back({Surface::Kind::cylinder, {0, 0, 0}, {0, 0, 1}, 1.9, true});
  make.add("nut", nut);
  make.add("screw", drum(4.4, 12), Vec3{0, 0, -6});
  make.declare(Declared::Kind::thread, "nut", "screw");
  const Scene scene(make.assembly);
  REQUIRE(scene.joint_axis(0, 1));
  CHECK_FALSE(blocked(scene, 1, 0, {0, 0, 1}));
  CHECK(blocked(scene, 1, 0, {1, 0, 0}));
  CHECK(blocked(scene, 0, 1, unit({0, 1, 0.2})));
}

TEST_CASE("directions come from faces and axes, and from what was declared", "[shapes]") {
  SceneMaker make;
  make.add("a", block(4, 4, 4));
  make.add("b", drum(4, 4), placed_at({10, 0, 0}, Degrees(0), Degrees(30), Degrees(0)));
  make.add("c", block(4, 4, 4), Vec3{20, 0, 0}).insert_along = {unit({1, 1, 1})};
  const Scene scene(make.assembly);
  const auto d = candidate_directions(scene);
  const auto has = [&](Vec3 v) {
    return std::any_of(d.begin(), d.end(), [&](Vec3 o) { return length(o - v) < 1e-6; });
  };
  CHECK(has({0, 0, 1}));
  CHECK(has({0, 0, -1}));
  CHECK(has({0.5, 0, std::sqrt(0.75)}));
  CHECK(has(unit({1, 1, 1})));
  CHECK(d.size() % 2 == 0);
  CHECK(say_insertion({0, 0, 1}) == "from above");
  CHECK(say_insertion({1, 0, 0}) == "from the right");
}
