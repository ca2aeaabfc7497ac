// Blocking against steps with exact booleans, on random pairs and directions. Prints every disagreement.
//   agree_geometry [pairs of each model] [seed]
#include <fmt/format.h>

#include <cstdlib>
#include <random>

#include "geometry/step.h"
#include "geometry/stepping.h"
#include "geometry/test_devices.h"
#include "shapes/blocking.h"

using namespace handlot;
using namespace handlot::shapes;

namespace {

struct Case {
  std::size_t part, blocker, direction;
};

testing::Device from_step(const std::string& path) {
  testing::Device device;
  const auto model = geometry::read_step(path);
  if (!model) return device;
  for (std::size_t i = 0; i < model->solids.size(); ++i) {
    const auto& s = model->solids[i];
    device.assembly.parts.push_back(
        geometry::part(PartId(fmt::format("{}-{}", s.name, i)), s.name, model->shapes[s.shape], s.at));
    device.solids.push_back(model->shapes[s.shape]);
  }
  return device;
}

std::vector<Vec3> ten_directions() {
  std::vector<Vec3> d{{0, 0, 1}, {0, 0, -1}, {1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}};
  for (Vec3 v : {Vec3{1, 1, 0}, Vec3{1, 0, 1}}) d.push_back(unit(v)), d.push_back(-unit(v));
  return d;
}

void compare(const char* name, const testing::Device& device, std::size_t wanted, unsigned seed) {
  if (device.solids.empty()) {
    fmt::print("{}: not there, skipped\n", name);
    return;
  }
  const Scene scene(device.assembly);
  const auto directions = ten_directions();
  const Blocking table = blocking(scene, directions);
  std::vector<Case> cases;
  for (std::size_t a = 0; a < scene.size(); ++a)
    for (std::size_t b = 0; b < scene.size(); ++b)
      for (std::size_t d = 0; d < directions.size(); ++d)
        if (a != b && !scene.joint_axis(a, b) && testing::swept_boxes_meet(scene, a, b, directions[d]))
          cases.push_back({a, b, d});
  std::mt19937 random(seed);
  for (std::size_t i = cases.size(); i > 1; --i) std::swap(cases[i - 1], cases[random() % i]);
  if (cases.size() > wanted) cases.resize(wanted);
  std::size_t differ = 0, blocked = 0, overlapping = 0;
  for (const Case& c : cases) {
    if (testing::overlap_now(scene, device.solids, c.part, c.blocker)) {
      ++overlapping;
      continue;
    }
    const bool ours = table.blockers(c.direction, c.part).has(c.blocker);
    const testing::Stepped theirs =
        testing::blocked_by_steps(scene, device.solids, c.part, c.blocker, directions[c.direction]);
    blocked += ours ? 1U : 0U;
    if (ours == theirs.blocked) continue;
    ++differ;
    const Vec3 d = directions[c.direction];
    fmt::print(
        "  {} past {} along ({:.2f} {:.2f} {:.2f}): blocking says {}, steps {} (at {:.2f} mm, {:.5f} mm3)\n",
        scene.part(c.part).id.text, scene.part(c.blocker).id.text, d.x, d.y, d.z, ours, theirs.blocked,
        theirs.at, theirs.volume);
  }
  fmt::print(
      "{}: {} pairs and directions, {} blocked, {} disagree; {} overlap from the start and are not judged\n",
      name, cases.size(), blocked, differ, overlapping);
}

}  // namespace

int main(int argc, char** argv) {
  const auto wanted = static_cast<std::size_t>(argc > 1 ? std::atoi(argv[1]) : 400);
  const auto seed = static_cast<unsigned>(argc > 2 ? std::atoi(argv[2]) : 1);
  compare("counter", testing::make_device(testing::counter_plan()), wanted, seed);
  compare("drawer", testing::make_device(testing::drawer_plan()), wanted, seed);
  const std::string folder = std::string(HANDLOT_TOP) + "/../shared/step/";
  compare("dm1-oc-214", from_step(folder + "dm1-oc-214.stp"), wanted, seed);
  compare("microServo", from_step(folder + "microServo.step"), wanted / 4, seed);
}
