#include "shapes/distance.h"

#include <catch2/catch.hpp>

#include <limits>

#include "shapes/motion.h"
#include "shapes/simple_meshes.h"

using namespace handlot;
using namespace handlot::shapes;
using namespace handlot::testing;

namespace {

/// Points spread over the surface, no further apart than about `pitch`.
std::vector<Vec3> spread(const Body& body, double pitch) {
  std::vector<Vec3> points;
  for (const auto& t : body.mesh->triangles) {
    const Vec3 a = body.vertices[t[0]], u = body.vertices[t[1]] - a, v = body.vertices[t[2]] - a;
    const int n = static_cast<int>(std::max(length(u), length(v)) / pitch) + 1;
    for (int i = 0; i <= n; ++i)
      for (int j = 0; j <= n - i; ++j) points.push_back(a + u * (double(i) / n) + v * (double(j) / n));
  }
  return points;
}

}  // namespace

TEST_CASE("the nearest distance is that of many points, never more", "[shapes][twin]") {
  const Assembly assembly = scattered(5, 12, 14);
  const Scene scene(assembly);
  constexpr double kPitch = 1.2;
  for (std::size_t a = 0; a < scene.size(); ++a)
    for (std::size_t b = a + 1; b < scene.size(); b += 2) {
      double least = std::numeric_limits<double>::infinity();
      for (Vec3 p : spread(scene.body(a), kPitch))
        for (Vec3 q : spread(scene.body(b), kPitch)) least = std::min(least, length(p - q));
      const Nearest near = nearest(scene.tree(a), scene.tree(b), {});
      CHECK(near.gap <= least + 1e-9);
      if (near.gap > 0) CHECK(near.gap >= least - 1.5 * kPitch);
      CHECK(length(near.on_a - near.on_b) == Approx(near.gap).margin(1e-6));
    }
}

TEST_CASE("moving both bodies keeps the gap", "[shapes][property]") {
  SceneMaker make;
  make.add("a", block(4, 5, 6));
  make.add("b", drum(5, 7), Vec3{11, 3, 2});
  const Scene scene(make.assembly);
  const double before = nearest(scene.tree(0), scene.tree(1), {}).gap;
  const Placement by = placed_at({3, -8, 20}, Degrees(33), Degrees(12), Degrees(270));
  for (Part& p : make.assembly.parts) p.at = then(p.at, by);
  const Scene moved(make.assembly);
  CHECK(nearest(moved.tree(0), moved.tree(1), {}).gap == Approx(before));
  CHECK(nearest(scene.tree(0), scene.tree(1), by).gap != Approx(before));
}

TEST_CASE("touching, a gap, an overlap and being inside are told apart", "[shapes]") {
  const auto how = [](Vec3 at, double size) {
    SceneMaker make;
    make.add("a", block(10, 10, 10));
    make.add("b", block(size, size, size), at);
    const Scene scene(make.assembly);
    return meeting(scene, 0, 1, 0.2).how;
  };
  CHECK(how({0, 0, 10}, 4) == Meeting::near);
  CHECK(how({0, 0, 10.1}, 4) == Meeting::near);
  CHECK(how({0, 0, 10.3}, 4) == Meeting::apart);
  CHECK(how({0, 0, 9.99}, 4) == Meeting::crossing);
  CHECK(how({0, 0, 3}, 4) == Meeting::within);
  CHECK(how({0, 0, 9.99}, 10) == Meeting::crossing);  // the same section, end into end
  CHECK(how({10, 10, 10}, 10) == Meeting::near);      // corner to corner
}

TEST_CASE("a point is inside by an odd number of walls", "[shapes]") {
  SceneMaker make;
  make.add("tub", tub(20, 20, 20, 2, true));
  const Scene scene(make.assembly);
  CHECK_FALSE(inside(scene.tree(0), {0, 0, 10}));
  CHECK(inside(scene.tree(0), {9.5, 0, 10}));
  CHECK(inside(scene.tree(0), {0, 0, 1}));
  CHECK_FALSE(inside(scene.tree(0), {30, 0, 10}));
}

TEST_CASE("turning finds the angle of the formula and the gap of small steps", "[shapes][truth][twin]") {
  SceneMaker make;
  make.add("hand", block(20, 2, 1), Vec3{10, 0, 0});        // half width 1, from the axis to x = 20
  make.add("pin", block(1, 1, 3), placed_at({0, 15, -1}));  // its nearest corner at x = 0.5, y = 14.5
  make.add("post", block(2, 2, 3), placed_at({0, -24, -1}));
  const Scene scene(make.assembly);
  const PartSet hand = set_of(scene, {"hand"}), others = set_of(scene, {"pin", "post"});
  // The upper edge of the hand meets the corner (0.5, y): it passes y = 15.5 first at cos: distance of the
  // corner from the line through the axis is 1 there: angle of the corner less asin(1 / its distance).
  const auto touch = [](double x, double y) {
    return (std::atan2(y, x) - std::asin(1 / std::hypot(x, y))) * 180 / std::numbers::pi;
  };
  const Clearest hit = turning(scene, hand, others, {{0, 0, 0}, {0, 0, 1}, Degrees(0), Degrees(180)});
  REQUIRE(hit.first_contact);
  CHECK(*hit.first_contact == Approx(std::min(touch(0.5, 14.5), touch(0.5, 15.5))).margin(0.01));
  const Turn back{{0, 0, 0}, {0, 0, -1}, Degrees(0), Degrees(180)};
  const Clearest free = turning(scene, hand, others, back);
  double least = 1e9;
  for (int i = 0; i <= 3600; ++i)
    least = std::min(
        least, nearest(scene.tree(0), scene.tree(2), turned_about({}, {0, 0, -1}, Degrees(i * 0.05))).gap);
  CHECK_FALSE(free.first_contact);
  CHECK(free.gap.value == Approx(least).margin(0.11 * least));
  CHECK(free.at_least.value <= least);
  CHECK(free.at_least.value >= 0.85 * least);
}

TEST_CASE("a contact met at a sample is a contact, and a tiny gap elsewhere hides none", "[shapes]") {
  SceneMaker make;
  make.add("hand", block(20, 2, 1), Vec3{10, 0, 0});
  make.add("pin", block(1, 1, 3), placed_at({0, 15, -1}));   // in the way at 90 degrees, one of the first samples
  make.add("near", block(2, 2, 3), placed_at({-21.04, 0, -1}));  // 0.01 mm beyond the corner's circle
  const Scene scene(make.assembly);
  const double touch = (std::atan2(14.5, 0.5) - std::asin(1 / std::hypot(0.5, 14.5))) * 180 / std::numbers::pi;
  const Turn round{{0, 0, 0}, {0, 0, 1}, Degrees(0), Degrees(360)};
  for (const PartSet& others : {set_of(scene, {"pin"}), set_of(scene, {"pin", "near"})}) {
    const Clearest hit = turning(scene, set_of(scene, {"hand"}), others, round);
    REQUIRE(hit.first_contact);
    CHECK(*hit.first_contact == Approx(touch).margin(0.01));
  }
  // A thin post between samples, met while the best gap is already smaller than the proof is fine.
  SceneMaker thin;
  thin.add("hand", block(20, 2, 1), Vec3{10, 0, 0});
  thin.add("near", block(2, 2, 3), placed_at({-21.055, 0, -1}));
  thin.add("post", block(0.1, 0.1, 3), placed_at({8 * std::cos(1.2), 8 * std::sin(1.2), -1}));
  const Scene two(thin.assembly);
  CHECK(turning(two, set_of(two, {"hand"}), set_of(two, {"near", "post"}), round).first_contact);
}

TEST_CASE("sliding stops at the wall", "[shapes][truth]") {
  SceneMaker make;
  make.add("sledge", block(4, 4, 2));
  make.add("wall", block(2, 20, 8), Vec3{13, 0, 0});
  const Scene scene(make.assembly);
  const Clearest hit = sliding(scene, set_of(scene, {"sledge"}), set_of(scene, {"wall"}),
                               {{1, 0, 0}, Millimetres(0), Millimetres(30)});
  REQUIRE(hit.first_contact);
  CHECK(*hit.first_contact == Approx(10).margin(0.01));
  const Clearest free = sliding(scene, set_of(scene, {"sledge"}), set_of(scene, {"wall"}),
                                {{1, 0, 0}, Millimetres(0), Millimetres(9)});
  CHECK(free.gap.value == Approx(1));
  CHECK(free.at == Approx(9));
}

TEST_CASE("a limit on measuring is kept and said", "[shapes]") {
  SceneMaker make;
  make.add("hand", block(20, 2, 1), Vec3{10, 0, 0});
  make.add("post", block(2, 2, 3), Vec3{0, -24, -1});
  const Scene scene(make.assembly);
  MotionRules rules;
  rules.limit = 5;
  CHECK(turning(scene, set_of(scene, {"hand"}), set_of(scene, {"post"}),
                {{0, 0, 0}, {0, 0, -1}, Degrees(0), Degrees(180)}, rules)
            .stopped);
}
