// Two whole devices: order, subassemblies, access, motion, pictures.
#include "geometry/test_devices.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <filesystem>
#include <random>

#include "geometry/checks.h"
#include "geometry/stepping.h"
#include "shapes/access.h"
#include "shapes/motion.h"
#include "shapes/order.h"
#include "shapes/picture.h"

using namespace handlot;
using namespace handlot::shapes;

namespace {

/// Made once: most of a second goes into the solids.
struct Looked {
  testing::Device device;
  Scene scene;
  geometry::Interference found;
  Blocking table;
  InsertionOrder order;

  explicit Looked(const testing::Plan& plan)
      : device(testing::make_device(plan)),
        scene(device.assembly),
        found(geometry::interference(scene, device.solids)),
        table(blocking(scene, candidate_directions(scene, 10))),
        order(find_order(scene, table, found.meetings)) {}

  std::size_t at(const char* id) const { return scene.find(PartId(id)).value(); }
  PartSet set(std::initializer_list<const char*> ids) const {
    PartSet parts(scene.size());
    for (const char* id : ids) parts.add(at(id));
    return parts;
  }
  PartSet all() const {
    PartSet parts(scene.size());
    for (std::size_t i = 0; i < scene.size(); ++i) parts.add(i);
    return parts;
  }
  /// Where in the order a part comes, counting only steps that add to the unit or to its own subassembly.
  std::size_t place(const char* id) const {
    for (std::size_t i = 0; i < order.steps.size(); ++i)
      if (order.steps[i].parts.size() == 1 && order.steps[i].parts.front() == at(id)) return i;
    return order.steps.size();
  }
};

const Looked& counter() {
  static const Looked looked(testing::counter_plan());
  return looked;
}

/// The order as arrivals, each onto what its own subassembly holds by then.
std::vector<Arrival> arrivals(const Looked& d) {
  std::vector<Arrival> sequence;
  std::map<int, PartSet> built;
  for (std::size_t i = 0; i < d.order.steps.size(); ++i) {
    const OrderStep& step = d.order.steps[i];
    PartSet& there = built.try_emplace(step.group, PartSet(d.scene.size())).first->second;
    PartSet body(d.scene.size());
    for (std::size_t part : step.parts) body.add(part);
    sequence.push_back({StepId("step-" + std::to_string(i)), {body}, there});
    there |= body;
  }
  return sequence;
}

}  // namespace

TEST_CASE("the counter has 47 parts, no interference that was not declared, and every part is placed",
          "[geometry]") {
  const Looked& d = counter();
  CHECK(d.scene.size() == 47);
  for (const auto& o : d.found.overlaps) CHECK(o.kind != geometry::Overlap::Kind::overlap);
  CHECK(d.order.stuck.empty());
  CHECK(d.order.floating.empty());
  PartSet placed(d.scene.size());
  for (const OrderStep& step : d.order.steps)
    for (std::size_t part : step.parts) placed.add(part);
  CHECK(placed.count() == 47);
}

TEST_CASE("an order without any stated order is what a person would do", "[geometry]") {
  const Looked& d = counter();
  CHECK(d.order.steps.front().parts == std::vector{d.at("case")});
  // The lens covers pointer and motor screws; the plate covers the board and its screws.
  CHECK(d.place("pointer") < d.place("lens"));
  CHECK(d.place("motor-screw-1") < d.place("lens"));
  CHECK(d.place("lens") < d.place("bezel"));
  CHECK(d.place("bezel") < d.place("bezel-screw-1"));
  CHECK(d.place("board") < d.place("board-screw-1"));
  CHECK(d.place("pot-washer") < d.place("pot-nut"));
  CHECK(d.place("pot-nut") < d.place("knob"));
  CHECK(d.place("gear") < d.place("clip"));
  // Motor, gears and pot hang on the plate and go in with it.
  REQUIRE(d.order.groups.size() == 1);
  std::vector<std::size_t> group{d.at("plate"), d.at("motor"), d.at("pinion"), d.at("post"),
                                 d.at("gear"),  d.at("clip"),  d.at("pot")};
  std::sort(group.begin(), group.end());
  CHECK(d.order.groups[0].parts == group);
}

TEST_CASE("the found order passes the check of given orders", "[geometry][property]") {
  const Looked& d = counter();
  CHECK(check_sequence(d.scene, d.table, arrivals(d)).empty());
}

TEST_CASE("a step moved to where geometry forbids it is caught, and allowed moves are not",
          "[geometry][property]") {
  const Looked& d = counter();
  const auto good = arrivals(d);
  std::size_t caught = 0, allowed = 0;
  for (std::size_t from = 0; from < good.size(); ++from) {
    for (std::size_t to = from + 1; to < good.size(); ++to) {
      const PartSet& mover = good[from].bodies.front();
      if (d.order.steps[from].group != d.order.steps[to].group || mover.count() > 1) continue;
      // Plain truth of the one move: it comes onto all that arrived up to `to`, in its own group.
      PartSet there = good[to].onto;
      there |= good[to].bodies.front();
      there -= mover;
      const bool may = can_go_in(d.scene, d.table, mover, there, false).possible;
      auto moved = good;
      for (std::size_t k = from + 1; k <= to; ++k)
        if (d.order.steps[k].group == d.order.steps[from].group) moved[k].onto -= mover;
      Arrival late = moved[from];
      late.onto = there;
      moved.erase(moved.begin() + static_cast<std::ptrdiff_t>(from));
      moved.insert(moved.begin() + static_cast<std::ptrdiff_t>(to), late);
      const auto found = check_sequence(d.scene, d.table, moved, false);
      const bool flagged =
          std::any_of(found.begin(), found.end(), [&](const BlockedArrival& b) { return b.body == mover; });
      CHECK(flagged == !may);
      (may ? allowed : caught) += 1;
      if (flagged) {
        const auto& b = *std::find_if(found.begin(), found.end(),
                                      [&](const BlockedArrival& x) { return x.body == mover; });
        // Before it was moved it went in, so there is a last place, and it is not before where it stood.
        REQUIRE(b.last_before);
        CHECK(*b.last_before + 1 >= from);
      }
      break;  // one move a step keeps the test short
    }
  }
  CHECK(allowed > 5);
  for (std::size_t from = 0; from + 1 < good.size(); ++from) {
    // And to the very end of its group.
    const PartSet& mover = good[from].bodies.front();
    if (mover.count() > 1 || d.order.steps[from].group != -1 || from == 0) continue;
    PartSet there = d.all();
    there -= mover;
    const Arrival late{StepId("late"), {mover}, there};
    const bool may = can_go_in(d.scene, d.table, mover, there, false).possible;
    CHECK(check_sequence(d.scene, d.table, {late}, false).empty() == may);
    (may ? allowed : caught) += 1;
  }
  CHECK(caught > 10);
}

TEST_CASE("what blocks a part that comes too late is named, with where it still worked", "[geometry]") {
  const Looked& d = counter();
  auto late = d.set({"pointer"});
  PartSet there = d.all();
  there -= late;
  there -= d.set({"bezel-screw-1", "bezel-screw-2", "bezel-screw-3"});
  std::vector<Arrival> sequence;
  for (const char* id : {"lens", "bezel"}) {
    PartSet onto = there;
    onto -= d.set({"bezel"});
    if (std::string(id) == "lens") onto -= d.set({"lens"});
    sequence.push_back({StepId(id), {d.set({id})}, onto});
  }
  sequence.push_back({StepId("pointer"), {late}, there});
  const auto found = check_sequence(d.scene, d.table, sequence);
  REQUIRE(found.size() == 1);
  CHECK(found[0].step == StepId("pointer"));
  REQUIRE(found[0].last_before);
  CHECK(sequence[*found[0].last_before].step == StepId("lens"));
  CHECK(say(d.scene, found[0].body, found[0].obstacles).find("the lens") != std::string::npos);
}

TEST_CASE("screws are reached until something covers them, and the cover is named", "[geometry]") {
  const Looked& d = counter();
  const Tool driver{"driver",
                    {{Millimetres(0), Millimetres(60), Millimetres(4), {}},
                     {Millimetres(60), Millimetres(150), Millimetres(20), {}}},
                    {},
                    Millimetres(0.5)};
  for (const auto& [id, verdict] :
       std::vector<std::pair<const char*, const char*>>{{"plate-screw-1", "free"},
                                                        {"bezel-screw-2", "free"},
                                                        {"board-screw-1", "the front plate"},
                                                        {"motor-screw-1", "the lens"}}) {
    const PartSet work = d.set({id});
    const auto head = head_of(d.scene, d.at(id));
    REQUIRE(head);
    CHECK(head->axis.z == Approx(1));
    const Access now = access(d.scene, driver, *head, d.all(), work);
    CHECK(say(d.scene, now).find(verdict) != std::string::npos);
    PartSet before = d.set({"case", "board", "motor", "plate"});
    if (std::string(id).rfind("board", 0) == 0) before -= d.set({"plate", "motor"});
    CHECK(access(d.scene, driver, *head, before, work).verdict == Access::Verdict::free);
  }
  // The last place in an order where the driver still got at the motor screw: before the lens.
  const PartSet bare = d.set({"case", "plate", "motor"}),
                with_lens = d.set({"case", "plate", "motor", "lens"});
  const auto ways = in_the_way_of(d.scene, driver, *head_of(d.scene, d.at("motor-screw-1")), d.all(), d.set({"motor-screw-1"}));
  CHECK(last_access(ways, {bare, bare, with_lens, d.all()}) == 1U);
}

TEST_CASE("with drivers to be let in, screws come before what would cover them", "[geometry]") {
  const Looked& d = counter();
  const Tool driver{"driver", {{Millimetres(0), Millimetres(60), Millimetres(4), {}}}, {}, Millimetres(0.5)};
  std::vector<Reached> reached;
  for (std::size_t i = 0; i < d.scene.size(); ++i)
    if (d.scene.part(i).name.rfind("screw", 0) == 0) reached.push_back({i, driver, *head_of(d.scene, i)});
  OrderRules rules;
  rules.before = access_first(d.scene, reached);
  CHECK(rules.before.size() > 4);
  const InsertionOrder order = find_order(d.scene, d.table, d.found.meetings, rules);
  CHECK(order.stuck.empty());
  const auto place = [&](std::size_t part) {
    std::size_t at = order.steps.size();
    for (std::size_t i = 0; i < order.steps.size(); ++i)
      if (order.steps[i].parts == std::vector{part}) at = i;
    return at;
  };
  CHECK(place(d.at("motor-screw-2")) < place(d.at("pointer")));
  CHECK(place(d.at("motor-screw-1")) < place(d.at("lens")));
}

TEST_CASE("the pointer turns until the stop pin, at the angle of the formula", "[geometry][truth]") {
  const Looked& d = counter();
  // Bar of half width 1 mm, pin of radius 0.75 mm, 15 mm from the axis, 270 degrees away: 270 - asin(1.75 /
  // 15).
  const Clearest hit =
      turning(d.scene, d.set({"pointer"}), d.all(), {{-20, 0, 0}, {0, 0, -1}, Degrees(0), Degrees(270)});
  REQUIRE(hit.first_contact);
  CHECK(*hit.first_contact == Approx(270 - 6.69988).margin(0.02));
  CHECK(d.scene.part(hit.other).id == PartId("stop"));
  // Short of it the motor screws are nearest: pointer at 44, heads up to 43.3.
  const Clearest free =
      turning(d.scene, d.set({"pointer"}), d.all(), {{-20, 0, 0}, {0, 0, -1}, Degrees(0), Degrees(230)});
  CHECK_FALSE(free.first_contact);
  CHECK(free.gap.value == Approx(0.7).margin(0.001));
  CHECK(free.at_least.value > 0.5);
  CHECK_FALSE(free.stopped);
}

TEST_CASE("a part that can be replaced says what has to come out first, and that no bond breaks",
          "[geometry]") {
  const Looked& d = counter();
  const Removal lens = take_out(d.scene, d.table, d.at("lens"));
  REQUIRE(lens.possible);
  CHECK(lens.breaks.empty());
  std::vector<std::string> out;
  for (const OrderStep& s : lens.steps)
    for (std::size_t part : s.parts) out.push_back(d.scene.part(part).id.text);
  std::sort(out.begin(), out.end());
  CHECK(out == std::vector<std::string>{"bezel", "bezel-screw-1", "bezel-screw-2", "bezel-screw-3", "lens"});
  // A foot is glued: taking it breaks its bond.
  const Removal foot = take_out(d.scene, d.table, d.at("foot-1"));
  REQUIRE(foot.possible);
  CHECK(foot.breaks.size() == 1);
}

TEST_CASE("a picture is the same bytes twice, names what is new and counts it", "[geometry][golden]") {
  const Looked& d = counter();
  StepPicture what;
  what.present = d.all();
  for (const char* id : {"plate-screw-1", "plate-screw-2", "plate-screw-3", "plate-screw-4"}) {
    what.present.remove(d.at(id));
    what.newcomers.push_back({d.at(id), Way{{0, 0, -1}, {}, {}}, {}});
  }
  const std::string once = picture(d.scene, what);
  CHECK(once == picture(d.scene, what));
  CHECK(once.find("<title>new in this step: screw M3x8 x4</title>") != std::string::npos);
  CHECK(once.find(">x4</text>") != std::string::npos);
  CHECK(once.find("font-family=\"B612") != std::string::npos);
  CHECK(once.find("nan") == std::string::npos);
  const std::string folder = (std::filesystem::temp_directory_path() / "handlot-picture-test").string();
  std::filesystem::remove_all(folder);
  CHECK(picture(d.scene, what, Cache(folder)) == once);
  CHECK(picture(d.scene, what, Cache(folder)) == once);
  CHECK(std::distance(std::filesystem::directory_iterator(folder), {}) == 1);
  std::filesystem::remove_all(folder);
  const std::string kit = kit_picture(*d.scene.part(d.at("knob")).mesh, "knob & <cap>");
  CHECK(kit.find("knob &amp; &lt;cap&gt;") != std::string::npos);
  CHECK(kit.find("16 x 16 x 14 mm</title>") != std::string::npos);
  CHECK(kit.find("<text") == std::string::npos);  // too small to read beside other parts
}

TEST_CASE("with nothing changed the cache answers, and a damaged cache is only slower", "[geometry]") {
  const std::string folder = (std::filesystem::temp_directory_path() / "handlot-cache-test").string();
  std::filesystem::remove_all(folder);
  const Cache cache(folder);
  const testing::Plan plan = testing::drawer_plan();
  const testing::Device first = testing::make_device(plan, {}, cache);
  const testing::Device second = testing::make_device(plan, {}, cache);
  for (std::size_t i = 0; i < first.solids.size(); ++i) {
    CHECK(to_bytes(*first.solids[i].mesh()) == to_bytes(*second.solids[i].mesh()));
    CHECK(first.solids[i].amounts().volume == second.solids[i].amounts().volume);
  }
  for (const auto& entry : std::filesystem::directory_iterator(folder))
    std::filesystem::resize_file(entry.path(), 40);
  const testing::Device third = testing::make_device(plan, {}, cache);
  CHECK(to_bytes(*third.solids[0].mesh()) == to_bytes(*first.solids[0].mesh()));
  std::filesystem::remove_all(folder);
}

TEST_CASE("blocking agrees with steps of exact booleans on random pairs", "[geometry][twin][slow]") {
  const Looked& d = counter();
  std::mt19937 random(20261125);
  std::size_t looked = 0;
  while (looked < 120) {
    const std::size_t a = random() % d.scene.size(), b = random() % d.scene.size(),
                      k = random() % d.table.directions().size();
    const Vec3 along = d.table.directions()[k];
    if (a == b || d.scene.joint_axis(a, b) || !testing::swept_boxes_meet(d.scene, a, b, along)) continue;
    if (testing::overlap_now(d.scene, d.device.solids, a, b)) continue;
    ++looked;
    const auto slow = testing::blocked_by_steps(d.scene, d.device.solids, a, b, along);
    INFO(d.scene.part(a).id.text << " past " << d.scene.part(b).id.text << " along " << along.x << " "
                                 << along.y << " " << along.z);
    CHECK(d.table.blockers(k, a).has(b) == slow.blocked);
  }
}
