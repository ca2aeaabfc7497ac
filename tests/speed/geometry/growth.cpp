// How the work on shapes grows with the number of parts. Processor time, not wall time.
//   growth_geometry [runs]
#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <ctime>
#include <filesystem>

#include "geometry/checks.h"
#include "geometry/test_devices.h"
#include "shapes/access.h"
#include "shapes/motion.h"
#include "shapes/order.h"
#include "shapes/picture.h"

using namespace handlot;
using namespace handlot::shapes;

namespace {

double now_ms() {
  timespec t{};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return static_cast<double>(t.tv_sec) * 1e3 + static_cast<double>(t.tv_nsec) * 1e-6;
}

struct Times {
  double make = 0, interference = 0, blocking = 0, access = 0, turn = 0, order = 0, picture = 0;
  std::size_t blocked = 0, triangles = 0, stuck = 0;
  double whole() const { return make + interference + blocking + access + turn + order; }
};

Times measure(const testing::Plan& plan, const Cache& cache) {
  Times t;
  double before = now_ms();
  const auto lap = [&](double& into) {
    const double now = now_ms();
    into = now - before;
    before = now;
  };
  const testing::Device device = testing::make_device(plan, {}, cache);
  const Scene scene(device.assembly);
  for (std::size_t i = 0; i < scene.size(); ++i) t.triangles += scene.body(i).mesh->triangles.size();
  lap(t.make);
  const auto found = geometry::interference(scene, device.solids, {}, cache);
  lap(t.interference);
  std::vector<Vec3> directions = candidate_directions(scene, 10);
  for (Vec3 v : {Vec3{0.6, 0.8, 0}, Vec3{0.6, 0, 0.8}})
    if (directions.size() < 10) directions.push_back(v), directions.push_back(-v);
  const Blocking table = blocking(scene, directions);
  lap(t.blocking);
  t.blocked = table.count();
  PartSet all(scene.size());
  for (std::size_t i = 0; i < scene.size(); ++i) all.add(i);
  const Tool driver{"driver",
                    {{Millimetres(0), Millimetres(60), Millimetres(4), {}},
                     {Millimetres(60), Millimetres(150), Millimetres(20), {}}},
                    {},
                    {}};
  for (std::size_t i = 0; i < scene.size(); ++i) {
    if (!scene.part(i).fastener) continue;
    PartSet work(scene.size());
    work.add(i);
    if (const auto head = head_of(scene, i)) static_cast<void>(access(scene, driver, *head, all, work));
  }
  lap(t.access);
  for (std::size_t i = 0; i < scene.size(); ++i) {
    if (scene.part(i).name != "pointer") continue;
    PartSet pointer(scene.size());
    pointer.add(i);
    const Vec3 axis = scene.part(i).at.point({0, 0, 0});
    static_cast<void>(turning(scene, pointer, all, {axis, {0, 0, 1}, Degrees(0), Degrees(80)}));
    break;
  }
  lap(t.turn);
  const auto order = find_order(scene, table, found.meetings);
  lap(t.order);
  t.stuck = order.stuck.size();
  StepPicture step;
  step.present = all;
  step.present.remove(scene.size() - 1);
  step.newcomers.push_back({scene.size() - 1, Way{{0, 0, -1}, {}, {}}, {}});
  static_cast<void>(picture(scene, step));
  lap(t.picture);
  return t;
}

double median(std::vector<double> v) {
  std::sort(v.begin(), v.end());
  return v[v.size() / 2];
}

}  // namespace

int main(int argc, char** argv) {
  const int runs = argc > 1 ? std::atoi(argv[1]) : 3;
  const std::string folder = (std::filesystem::temp_directory_path() / "handlot-growth").string();
  fmt::print(
      "parts triangles blocked |  make  interf  block  access  turn  order | whole  warm | picture (ms, "
      "medians of {})\n",
      runs);
  for (std::size_t parts : {12U, 23U, 46U, 47U, 92U, 184U, 368U}) {
    const testing::Plan plan = testing::counters_plan(parts);
    std::vector<Times> cold, warm;
    for (int i = 0; i < runs; ++i) {
      std::filesystem::remove_all(folder);
      cold.push_back(measure(plan, Cache(folder)));
      warm.push_back(measure(plan, Cache(folder)));
    }
    const auto of = [&](const std::vector<Times>& v, auto&& f) {
      std::vector<double> x;
      for (const Times& t : v) x.push_back(f(t));
      return median(x);
    };
    fmt::print(
        "{:5} {:9} {:7} | {:6.1f} {:6.1f} {:6.1f} {:6.2f} {:6.1f} {:6.2f} | {:6.1f} {:6.1f} | {:5.1f}{}\n",
        parts, cold[0].triangles, cold[0].blocked, of(cold, [](auto& t) { return t.make; }),
        of(cold, [](auto& t) { return t.interference; }), of(cold, [](auto& t) { return t.blocking; }),
        of(cold, [](auto& t) { return t.access; }), of(cold, [](auto& t) { return t.turn; }),
        of(cold, [](auto& t) { return t.order; }), of(cold, [](auto& t) { return t.whole(); }),
        of(warm, [](auto& t) { return t.whole(); }), of(cold, [](auto& t) { return t.picture; }),
        cold[0].stuck > 0 ? fmt::format("  {} stuck", cold[0].stuck) : "");
  }
  std::filesystem::remove_all(folder);
}
