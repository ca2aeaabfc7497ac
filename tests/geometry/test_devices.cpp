#include "geometry/test_devices.h"

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace handlot::testing {

using namespace shapes;
using std::numbers::pi;

namespace {

SolidTree joined(std::vector<SolidTree> of) {
  return fuse(std::move(of));
}

/// A screw: thread downwards from z = 0, head upwards.
SolidTree screw(double thread, double length, double head, double head_height) {
  return joined({cylinder(thread, length, {0, 0, -length}), cylinder(head, head_height)});
}

SolidTree ring(double outer, double inner, double height) {
  return cut({cylinder(outer, height), cylinder(inner, height)});
}

SolidTree plate(double x, double y, double thickness, std::vector<PlateHole> holes, double corner = 0) {
  SolidTree tree;
  tree.shape = PlateShape{Millimetres(x), Millimetres(y), Millimetres(thickness), Millimetres(corner),
                          std::move(holes)};
  return tree;
}

PlateHole hole(double x, double y, double diameter) {
  return {{x, y}, Millimetres(diameter), {}};
}

/// Straight-flanked teeth, slim enough not to overlap at the pitch distance.
SolidTree gear(int teeth, double module, double bore, double height) {
  const double r = teeth * module / 2, tip = r + module, root = r - 1.25 * module;
  Polygon outline;
  for (int i = 0; i < teeth; ++i) {
    const double step = 2 * pi / teeth, a = i * step;
    const auto at = [&](double radius, double angle) {
      outline.push_back({radius * std::cos(angle), radius * std::sin(angle)});
    };
    at(root, a - 0.33 * step), at(tip, a - 0.10 * step), at(tip, a + 0.10 * step), at(root, a + 0.33 * step);
  }
  ExtrusionShape shape{outline, {}, Millimetres(height)};
  SolidTree tree;
  tree.shape = shape;
  return cut({tree, cylinder(bore, height)});
}

SolidTree hexagon(double across_flats, double bore, double height) {
  Polygon outline;
  for (int i = 0; i < 6; ++i) {
    const double r = across_flats / std::sqrt(3.0), a = i * pi / 3;
    outline.push_back({r * std::cos(a), r * std::sin(a)});
  }
  return cut({extrusion(outline, height), cylinder(bore, height)});
}

constexpr double kDialX = -20;

class Maker {
 public:
  Plan plan;

  geometry::PlannedPart& turned(std::string id, std::string name, SolidTree tree, Placement at) {
    plan.parts.push_back({PartId(std::move(id)),
                          std::move(name),
                          std::move(tree),
                          at,
                          GramsPerCubicCentimetre(1.2),
                          {},
                          {},
                          false,
                          false});
    return plan.parts.back();
  }
  geometry::PlannedPart& part(std::string id, std::string name, SolidTree tree, Vec3 at = {}) {
    return turned(std::move(id), std::move(name), std::move(tree), placed_at(at));
  }
  void fastener(std::string id, std::string name, SolidTree tree, Vec3 at) {
    part(std::move(id), std::move(name), std::move(tree), at).fastener = true;
  }
  void declare(Declared::Kind kind, const std::string& a, const std::string& b) {
    plan.declared.push_back({kind, PartId(a), PartId(b)});
  }
};

void make_case(Maker& m) {
  std::vector<SolidTree> body{cut({box(120, 80, 40), box(114, 74, 40, {0, 0, 3})})};
  std::vector<SolidTree> holes;
  for (double x : {-53.5, 53.5})
    for (double y : {-33.5, 33.5}) {
      body.push_back(box(9, 9, 38, {x, y, 2}));
      holes.push_back(cylinder(2.5, 12, {x, y, 28}));
    }
  for (double x : {-49.0, 33.0})
    for (double y : {-21.0, 21.0}) {
      body.push_back(cylinder(7, 9, {x, y, 2}));
      holes.push_back(cylinder(2.05, 7, {x, y, 4}));
    }
  holes.push_back(moved(cylinder(10, 6), placed_at({0, 41, 24}, Degrees(90))));
  holes.insert(holes.begin(), joined(std::move(body)));
  m.part("case", "case", cut(std::move(holes))).frame = true;
  int n = 0;
  for (double x : {-50.0, 50.0})
    for (double y : {-30.0, 30.0}) {
      const std::string id = "foot-" + std::to_string(++n);
      m.part(id, "foot", cylinder(10, 3), {x, y, -3});
      m.declare(Declared::Kind::bond, id, "case");
    }
}

void make_board(Maker& m) {
  std::vector<PlateHole> holes;
  for (double x : {-41.0, 41.0})
    for (double y : {-21.0, 21.0}) holes.push_back(hole(x, y, 2.7));
  for (double y : {-7.5, -2.5, 2.5, 7.5}) holes.push_back(hole(33, y, 1.0));
  m.part("board", "board", plate(90, 50, 1.6, holes, 2), {-8, 0, 11});
  int n = 0;
  for (double x : {-49.0, 33.0})
    for (double y : {-21.0, 21.0}) {
      const std::string id = "board-screw-" + std::to_string(++n);
      m.fastener(id, "screw M2.5x6", screw(2.5, 6, 5, 1.5), {x, y, 12.6});
      m.declare(Declared::Kind::thread, id, "case");
    }
  m.part("cap-1", "capacitor", cylinder(8, 11), {-40, 12, 12.6});
  m.part("cap-2", "capacitor", cylinder(8, 11), {-40, -12, 12.6});
  std::vector<SolidTree> header{box(2.5, 20, 8.5)};
  for (double y : {-7.5, -2.5, 2.5, 7.5}) header.push_back(cylinder(0.9, 4.6, {0, y, -3.6}));
  m.part("header", "pin header", joined(header), {25, 0, 12.6});
  const Vec3 chips[] = {{10, -15, 12.6}, {10, 15, 12.6}, {-28, 18, 12.6}, {-28, -18, 12.6}};
  for (int i = 0; i < 4; ++i) m.part("chip-" + std::to_string(i + 1), "chip", box(9.9, 3.9, 1.5), chips[i]);
  m.part("resistor-1", "resistor", box(3.2, 1.6, 0.55), {20, 18, 12.6});
  m.part("resistor-2", "resistor", box(3.2, 1.6, 0.55), {20, -18, 12.6});
  m.part("holder", "cell holder", cut({box(14, 50, 12), box(11, 46, 10, {0, 0, 2})}), {48, 2, 3});
  m.declare(Declared::Kind::bond, "holder", "case");
  m.turned("cell", "cell", cylinder(10.5, 44), placed_at({48, 24, 10.25}, Degrees(90)));
}

void make_front(Maker& m) {
  std::vector<PlateHole> holes;
  for (double x : {-53.5, 53.5})
    for (double y : {-33.5, 33.5}) holes.push_back(hole(x, y, 3.4));
  holes.push_back(hole(kDialX, 0, 6.2));
  for (double y : {-14.0, 14.0}) holes.push_back(hole(kDialX, y, 2.2));
  holes.push_back(hole(-7, 0, 3));
  holes.push_back(hole(-35, 0, 1.5));
  holes.push_back(hole(38, 15, 7.2));
  for (int k = 0; k < 3; ++k)
    holes.push_back(hole(kDialX + 27 * std::cos(k * 2 * pi / 3), 27 * std::sin(k * 2 * pi / 3), 1.567));
  m.part("plate", "front plate", plate(120, 80, 2, holes), {0, 0, 40});
  int n = 0;
  for (double x : {-53.5, 53.5})
    for (double y : {-33.5, 33.5}) {
      const std::string id = "plate-screw-" + std::to_string(++n);
      m.fastener(id, "screw M3x8", screw(3, 8, 5.6, 2.4), {x, y, 42});
      m.declare(Declared::Kind::thread, id, "case");
    }
  m.part("motor", "motor",
         cut({joined({cylinder(20, 15), box(8, 34, 2, {0, 0, 13}), cylinder(6, 1.5, {0, 0, 15}),
                      cylinder(2, 26, {0, 0, -4})}),
              cylinder(1.567, 2, {0, -14, 13}), cylinder(1.567, 2, {0, 14, 13})}),
         {kDialX, 0, 25});
  for (int k = 0; k < 2; ++k) {
    const std::string id = "motor-screw-" + std::to_string(k + 1);
    m.fastener(id, "screw M2x4", screw(2, 4, 3.8, 1.3), {kDialX, k == 0 ? -14.0 : 14.0, 42});
    m.declare(Declared::Kind::thread, id, "motor");
  }
  m.part("pinion", "pinion", gear(12, 0.5, 2, 3.9), {kDialX, 0, 21});
  m.part("post", "gear post",
         cut({cylinder(3, 23), cut({cylinder(4, 0.8, {0, 0, 1}), cylinder(2, 0.8, {0, 0, 1})})}),
         {-7, 0, 19});
  m.part("gear", "gear", gear(40, 0.5, 3.1, 3), {-7, 0, 21});
  // A clip that a rigid hand can push on from the side.
  m.part("clip", "clip", cut({cylinder(6, 0.8), cylinder(2, 0.8), box(2, 4, 0.8, {0, -2, 0})}), {-7, 0, 20});
  m.declare(Declared::Kind::gears, "pinion", "gear");
  m.declare(Declared::Kind::press_fit, "post", "plate");
  m.part("pointer", "pointer",
         cut({joined({cylinder(5, 1.5), box(2, 18, 1.5, {0, 9, 0})}), cylinder(2, 1.5)}), {kDialX, 0, 44});
  m.part("stop", "stop pin", cylinder(1.5, 5.6), {-35, 0, 40});
}

void make_controls(Maker& m) {
  m.part("pot", "potentiometer", joined({box(16, 16, 8), cylinder(7, 14), cylinder(6, 24)}), {38, 15, 32});
  m.part("pot-washer", "washer", ring(12, 7.2, 0.5), {38, 15, 42});
  m.part("pot-nut", "nut M7", hexagon(10, 6.4, 2), {38, 15, 42.5}).fastener = true;
  m.declare(Declared::Kind::thread, "pot-nut", "pot");
  m.part("knob", "knob", cut({cylinder(16, 14), cylinder(6, 10)}), {38, 15, 46.5});
  std::vector<SolidTree> spacer{ring(60, 42, 6)}, bezel{cylinder(60, 4), cylinder(46.4, 2), cylinder(40, 4)};
  for (int k = 0; k < 3; ++k) {
    const double x = 27 * std::cos(k * 2 * pi / 3), y = 27 * std::sin(k * 2 * pi / 3);
    spacer.push_back(cylinder(2.4, 6, {x, y, 0}));
    bezel.push_back(cylinder(2.4, 4, {x, y, 0}));
    const std::string id = "bezel-screw-" + std::to_string(k + 1);
    m.fastener(id, "screw M2x12", screw(2, 12, 3.8, 1.3), {kDialX + x, y, 52});
    m.declare(Declared::Kind::thread, id, "plate");
  }
  m.part("spacer", "spacer", cut(spacer), {kDialX, 0, 42});
  m.part("lens", "lens", cylinder(46, 2), {kDialX, 0, 48});
  m.part("bezel", "bezel", cut(bezel), {kDialX, 0, 48});
  const SolidTree bushing =
      cut({joined({cylinder(14, 2), cylinder(10, 11, {0, 0, -9})}), cylinder(5, 11, {0, 0, -9})});
  m.turned("bushing", "bushing", bushing, placed_at({0, 40, 24}, Degrees(-90)));
  m.turned("bushing-nut", "bushing nut", ring(15, 9.2, 3), placed_at({0, 37, 24}, Degrees(90))).fastener =
      true;
  m.declare(Declared::Kind::thread, "bushing", "bushing-nut");
}

}  // namespace

Plan counter_plan() {
  Maker m;
  make_case(m);
  make_board(m);
  make_front(m);
  make_controls(m);
  return m.plan;
}

Plan drawer_plan() {
  Maker m;
  // Open at the front (-y); the lid slides in grooves from the front.
  SolidTree shell = cut({box(80, 60, 50), box(74, 57, 40, {0, -1.5, 3}), box(78, 58.5, 2.4, {0, -1, 44}),
                         box(74, 57, 5, {0, -1.5, 46})});
  m.part("shell", "shell",
         cut({shell, cylinder(4, 3, {-30, 20, 0}), cylinder(4, 3, {30, 20, 0}), box(6, 3, 30, {0, 28.5, 10}),
              box(16, 3, 6, {0, 28.5, 10})}))
      .frame = true;
  m.part("lid", "lid", box(77.6, 58, 2, {0, -1, 44.2}));
  m.part("drawer", "drawer", cut({box(73, 56, 18), box(69, 52, 16, {0, 0, 2})}), {0, -1.5, 3});
  m.part("tray", "tray", cut({box(66, 50, 8), box(62, 46, 7, {0, 0, 1})}), {0, -1.5, 5});
  m.turned("knob", "drawer knob", joined({cylinder(4, 4), cylinder(10, 6, {0, 0, 4})}),
           placed_at({0, -29.5, 12}, Degrees(90)));
  m.part("dowel-1", "dowel", cylinder(4, 6), {-30, 20, -3});
  m.part("dowel-2", "dowel", cylinder(4, 6), {30, 20, -3});
  m.part("base", "base", plate(90, 70, 6, {hole(-30, 20, 4), hole(30, 20, 4)}), {0, 0, -6});
  for (int i = 0; i < 4; ++i)
    m.part("ball-" + std::to_string(i + 1), "ball", sphere(8), {-24.0 + 16 * i, -1.5, 10});
  // A latch with a broad foot: through the wide slot, then up the narrow one.
  m.part("latch", "latch", joined({box(15, 2, 5), box(15, 2, 5)}), {0, 28.5, 10.5});
  m.part("weight", "weight", cone(20, 10, 12), {0, -1.5, 25});
  return m.plan;
}

Plan counters_plan(std::size_t parts) {
  const Plan one = counter_plan();
  Plan many;
  for (int copy = 0; many.parts.size() < parts; ++copy) {
    const std::string mark = "u" + std::to_string(copy) + "-";
    // Beside and behind each other, so that they do not all hide each other along x.
    const Placement shift = placed_at({150.0 * (copy % 4), 110.0 * (copy / 4), 70.0 * (copy % 2)});
    for (const geometry::PlannedPart& p : one.parts) {
      if (many.parts.size() == parts) break;
      many.parts.push_back(p);
      many.parts.back().id = PartId(mark + p.id.text);
      many.parts.back().at = then(p.at, shift);
    }
    for (const Declared& d : one.declared)
      many.declared.push_back({d.kind, PartId(mark + d.a.text), PartId(mark + d.b.text)});
  }
  return many;
}

Device make_device(const Plan& plan, const geometry::Fineness& fineness, const Cache& cache) {
  Device device = geometry::make_device(plan, fineness, cache);
  if (!device.left_out.empty()) throw std::runtime_error(device.left_out.front().why.front().text);
  return device;
}

}  // namespace handlot::testing
