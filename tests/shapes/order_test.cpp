#include "shapes/order.h"

#include <catch2/catch.hpp>

#include <algorithm>

#include "shapes/simple_meshes.h"

using namespace handlot;
using namespace handlot::shapes;
using namespace handlot::testing;

namespace {

InsertionOrder order_of(const Scene& scene, OrderRules rules = {}) {
  return find_order(scene, blocking(scene, candidate_directions(scene)), meetings(scene, 0.2), rules);
}

std::vector<std::string> ids(const Scene& scene, const std::vector<std::size_t>& parts) {
  std::vector<std::string> out;
  for (std::size_t p : parts) out.push_back(scene.part(p).id.text);
  return out;
}

}  // namespace

TEST_CASE("a part shut into another is named with what holds it from every side", "[shapes]") {
  SceneMaker make;
  make.add("shell", tub(20, 20, 20, 2, true)).frame = true;
  make.add("ball", drum(6, 6), Vec3{0, 0, 2});
  make.add("foot", block(5, 5, 2), Vec3{0, 0, -2});
  const Scene scene(make.assembly);
  const InsertionOrder order = order_of(scene);
  REQUIRE(order.stuck.size() == 1);
  CHECK(ids(scene, order.stuck[0].parts) == std::vector<std::string>{"ball"});
  CHECK(order.stuck[0].obstacles.size() == 6);
  CHECK(say(scene, set_of(scene, {"ball"}), order.stuck[0].obstacles) ==
        "the ball cannot go in: from above, from below, from the right, from the left, from the back and "
        "from the front the shell is in the way");
  // The foot still gets its place.
  CHECK(ids(scene, order.steps.back().parts) == std::vector<std::string>{"foot"});
}

TEST_CASE("a hook goes along and then across where no straight way leads", "[shapes]") {
  // A channel closed above but for a slot at its right end; the bar lies under the cover at the left.
  SceneMaker make;
  make.add("channel", together({{block(40, 10, 2), {0, 0, 0}},
                                {block(40, 2, 6), {0, -4, 2}},
                                {block(40, 2, 6), {0, 4, 2}},
                                {block(2, 6, 6), {-19, 0, 2}},
                                {block(2, 6, 6), {19, 0, 2}},
                                {block(26, 10, 2), {-7, 0, 8}}}))
      .frame = true;
  make.add("bar", block(8, 5, 4), Vec3{-12, 0, 2});
  const Scene scene(make.assembly);
  const Blocking table = blocking(scene, candidate_directions(scene));
  const PartSet bar = set_of(scene, {"bar"}), channel = set_of(scene, {"channel"});
  CHECK_FALSE(can_go_in(scene, table, bar, channel, false).possible);
  const Insertion in = can_go_in(scene, table, bar, channel, true);
  REQUIRE(in.possible);
  REQUIRE(in.way.first);
  CHECK(length(in.way.last - Vec3{-1, 0, 0}) < 1e-9);
  CHECK(length(*in.way.first - Vec3{0, 0, -1}) < 1e-9);
  CHECK(in.way.last_travel.value > 21.9);
  CHECK(in.way.last_travel.value < 26.1);
  CHECK(order_of(scene).stuck.empty());
}

TEST_CASE("parts that hold each other only together go in as a subassembly", "[shapes]") {
  // Two halves of a clamp round a rod, in a tub: the rod does not pass the tub's mouth alone with its
  // collars? It does; but the wheel on the rod hangs loose without it.
  SceneMaker make;
  make.add("tub", tub(30, 30, 20, 2)).frame = true;
  make.add("bridge", block(30, 6, 2), Vec3{0, 0, 18});
  make.add("rod", block(2, 2, 10), Vec3{0, 0, 8});
  make.add("weight", block(8, 8, 3), Vec3{0, 0, 5});
  const Scene scene(make.assembly);
  const InsertionOrder order = order_of(scene);
  CHECK(order.stuck.empty());
  REQUIRE(order.groups.size() == 1);
  CHECK(ids(scene, order.groups[0].parts) == std::vector<std::string>{"bridge", "rod", "weight"});
  CHECK(order.steps.back().parts.size() == 3);
}

TEST_CASE("a declared subassembly is built apart and keeps its name", "[shapes]") {
  SceneMaker make;
  make.add("base", block(40, 40, 4)).frame = true;
  make.add("a", block(6, 6, 6), Vec3{0, 0, 4});
  make.add("b", block(4, 4, 4), Vec3{0, 0, 10});
  make.assembly.subassemblies = {{"tower", {PartId("a"), PartId("b")}}};
  const Scene scene(make.assembly);
  const InsertionOrder order = order_of(scene);
  REQUIRE(order.groups.size() == 1);
  CHECK(order.groups[0].id == "tower");
  REQUIRE(order.steps.size() == 4);
  CHECK(order.steps.back().parts.size() == 2);
}

TEST_CASE("what must come before for other reasons is kept, and declared directions too", "[shapes]") {
  SceneMaker make;
  make.add("base", block(40, 10, 4)).frame = true;
  make.add("a", block(4, 4, 4), Vec3{-10, 0, 4}).insert_along = {{1, 0, 0}};
  make.add("b", block(4, 4, 4), Vec3{10, 0, 4});
  const Scene scene(make.assembly);
  for (const auto& [first, second] : {std::pair<std::size_t, std::size_t>{1, 2}, {2, 1}}) {
    OrderRules rules;
    rules.before = {{first, second}};
    const InsertionOrder order = order_of(scene, rules);
    REQUIRE(order.stuck.empty());
    REQUIRE(order.steps.size() == 3);
    CHECK(order.steps[1].parts.front() == first);
    CHECK(order.steps[2].parts.front() == second);
    for (const OrderStep& s : order.steps)
      if (s.parts.front() == 1) CHECK(length(s.way.last - Vec3{1, 0, 0}) < 1e-9);
  }
}

TEST_CASE("every order found passes the check, on scattered parts", "[shapes][property]") {
  for (unsigned seed = 1; seed <= 12; ++seed) {
    const Assembly assembly = scattered(seed, 14, 9);
    const Scene scene(assembly);
    const auto directions = candidate_directions(scene);
    const Blocking table = blocking(scene, directions);
    const InsertionOrder order = find_order(scene, table, meetings(scene, 0.2));
    std::vector<Arrival> sequence;
    std::map<int, PartSet> built;
    PartSet placed(scene.size());
    for (const OrderStep& step : order.steps) {
      PartSet& there = built.try_emplace(step.group, PartSet(scene.size())).first->second;
      PartSet body(scene.size());
      for (std::size_t p : step.parts) body.add(p);
      if (!there.empty()) sequence.push_back({StepId("s"), {body}, there});
      there |= body;
      if (step.group == -1) placed |= body;
    }
    INFO("seed " << seed);
    CHECK(placed.count() == scene.size());
    CHECK(check_sequence(scene, table, sequence).empty());
  }
}

TEST_CASE("bodies of one step may come in any order among themselves", "[shapes]") {
  SceneMaker make;
  make.add("tub", tub(20, 20, 20, 2));
  make.add("low", block(10, 10, 4), Vec3{0, 0, 2});
  make.add("high", block(10, 10, 4), Vec3{0, 0, 6});
  const Scene scene(make.assembly);
  const Blocking table = blocking(scene, candidate_directions(scene));
  CHECK(check_sequence(
            scene, table,
            {{StepId("both"), {set_of(scene, {"high"}), set_of(scene, {"low"})}, set_of(scene, {"tub"})}})
            .empty());
  const auto late =
      check_sequence(scene, table,
                     {{StepId("one"), {set_of(scene, {"high"})}, set_of(scene, {"tub"})},
                      {StepId("two"), {set_of(scene, {"low"})}, set_of(scene, {"tub", "high"})}});
  REQUIRE(late.size() == 1);
  CHECK(late[0].step == StepId("two"));
  CHECK(late[0].last_before == 0U);
}
