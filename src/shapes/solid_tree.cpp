#include "shapes/solid_tree.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numbers>

namespace handlot::shapes {

namespace {

template <class... F>
struct Cases : F... {
  using F::operator()...;
};
template <class... F>
Cases(F...) -> Cases<F...>;

SolidTree tree_of(auto shape, Vec3 at) {
  SolidTree tree;
  tree.shape = std::move(shape);
  tree.at.shift = at;
  return tree;
}

}  // namespace

SolidTree box(double x, double y, double z, Vec3 at) {
  return tree_of(BoxShape{Millimetres(x), Millimetres(y), Millimetres(z)}, at);
}
SolidTree cylinder(double diameter, double height, Vec3 at) {
  return tree_of(CylinderShape{Millimetres(diameter), Millimetres(height)}, at);
}
SolidTree cone(double lower, double upper, double height, Vec3 at) {
  return tree_of(ConeShape{Millimetres(lower), Millimetres(upper), Millimetres(height)}, at);
}
SolidTree sphere(double diameter, Vec3 at) {
  return tree_of(SphereShape{Millimetres(diameter)}, at);
}
SolidTree extrusion(Polygon outline, double height, Vec3 at) {
  return tree_of(ExtrusionShape{std::move(outline), {}, Millimetres(height)}, at);
}
SolidTree cut(std::vector<SolidTree> of) {
  return tree_of(CutShape{std::move(of)}, {});
}
SolidTree fuse(std::vector<SolidTree> of) {
  return tree_of(FuseShape{std::move(of)}, {});
}
SolidTree moved(SolidTree tree, const Placement& by) {
  tree.at = then(tree.at, by);
  return tree;
}

Millimetres core_diameter(Millimetres nominal, Millimetres pitch) {
  return nominal - pitch * 1.082532;
}

namespace {

constexpr double kLargest = 1e5;
constexpr int kDeepest = 64;
constexpr int kMost = 10000;

bool crosses(Point2 a, Point2 b, Point2 c, Point2 d) {
  const auto side = [](Point2 p, Point2 q, Point2 r) {
    return (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
  };
  const double s1 = side(a, b, c), s2 = side(a, b, d), s3 = side(c, d, a), s4 = side(c, d, b);
  return ((s1 > 0) != (s2 > 0)) && ((s3 > 0) != (s4 > 0)) && s1 != 0 && s2 != 0 && s3 != 0 && s4 != 0;
}

double area(const Polygon& p) {
  double twice = 0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const Point2 a = p[i], b = p[(i + 1) % p.size()];
    twice += a.x * b.y - a.y * b.x;
  }
  return twice / 2;
}

bool holds(const Polygon& p, Point2 q) {
  bool in = false;
  for (std::size_t i = 0, j = p.size() - 1; i < p.size(); j = i++)
    if ((p[i].y > q.y) != (p[j].y > q.y) &&
        q.x < (p[j].x - p[i].x) * (q.y - p[i].y) / (p[j].y - p[i].y) + p[i].x)
      in = !in;
  return in;
}

/// Walks a tree and collects what is wrong.
class Inspector {
 public:
  Diagnostics found;

  void look(const SolidTree& tree, int depth) {
    place_ = tree.place;
    if (depth > kDeepest || ++count_ > kMost) {
      if (!too_deep_)
        say("shape-too-deep", "shapes are nested too deeply or there are too many of them",
            fmt::format("use at most {} levels and {} shapes", kDeepest, kMost));
      too_deep_ = true;
      return;
    }
    const Vec3 s = tree.at.shift;
    if (!(std::abs(s.x) <= kLargest && std::abs(s.y) <= kLargest && std::abs(s.z) <= kLargest))
      say("shape-size", "a position lies out of reach", "give positions within 100 m");
    std::visit(
        Cases{[&](const BoxShape& v) { size("x", v.x), size("y", v.y), size("z", v.z); },
              [&](const CylinderShape& v) { size("diameter", v.diameter), size("height", v.height); },
              [&](const ConeShape& v) { look_cone(v); },
              [&](const SphereShape& v) { size("diameter", v.diameter); },
              [&](const ExtrusionShape& v) { look_extrusion(v); },
              [&](const PlateShape& v) { look_plate(v); }, [&](const ThreadShape& v) { look_thread(v); },
              [&](const CutShape& v) { look_all(v.of, 2, depth); },
              [&](const FuseShape& v) { look_all(v.of, 1, depth); },
              [&](const CommonShape& v) { look_all(v.of, 2, depth); }},
        tree.shape);
  }

 private:
  void say(std::string code, std::string text, std::string mend) {
    found.push_back(error(std::move(code), place_, std::move(text), std::move(mend)));
  }
  void size(const char* what, Millimetres v) {
    if (v.value > 1e-3 && v.value <= kLargest) return;
    say("shape-size", fmt::format("{} is {} mm, which gives no solid", what, v.value),
        fmt::format("give {} between 0.001 mm and 100 m", what));
  }
  void may_be_zero(const char* what, Millimetres v) {
    if (v.value >= 0 && v.value <= kLargest) return;
    say("shape-size", fmt::format("{} is {} mm", what, v.value), fmt::format("give {} as 0 or more", what));
  }
  void look_cone(const ConeShape& v) {
    may_be_zero("lower diameter", v.lower);
    may_be_zero("upper diameter", v.upper);
    size("height", v.height);
    if (v.lower.value == v.upper.value)
      say("shape-size", "a cone has two equal diameters",
          "write a cylinder, or give two different diameters");
  }
  void outline(const Polygon& p) {
    if (p.size() < 3)
      return say("shape-outline", "an outline has fewer than three corners", "give at least three corners");
    for (Point2 q : p)
      if (!(std::abs(q.x) <= kLargest && std::abs(q.y) <= kLargest))
        return say("shape-outline", "an outline has a corner out of reach", "give corners within 100 m");
    for (std::size_t i = 0; i < p.size(); ++i) {
      const Point2 a = p[i], b = p[(i + 1) % p.size()];
      if (std::hypot(a.x - b.x, a.y - b.y) < 1e-4)
        return say("shape-outline",
                   fmt::format("corners {} and {} of an outline are the same", i + 1, (i + 1) % p.size() + 1),
                   "leave one of them out");
      for (std::size_t j = i + 2; j < p.size(); ++j)
        if (crosses(a, b, p[j], p[(j + 1) % p.size()]))
          return say("shape-outline", fmt::format("edges {} and {} of an outline cross", i + 1, j + 1),
                     "give the corners in order around the outline");
    }
    if (std::abs(area(p)) < 1e-6)
      say("shape-outline", "an outline encloses no area", "give corners that enclose an area");
  }
  void look_extrusion(const ExtrusionShape& v) {
    const std::size_t before = found.size();
    outline(v.outline);
    size("height", v.height);
    for (const Polygon& opening : v.openings) {
      outline(opening);
      if (found.size() == before && !holds(v.outline, opening.front()))
        say("shape-outline", "an opening lies outside its outline", "move the opening into the outline");
    }
  }
  void look_plate(const PlateShape& v) {
    size("x", v.x), may_be_zero("y", v.y), size("thickness", v.thickness), may_be_zero("corner", v.corner);
    if (v.y.value > 0 && v.corner.value * 2 > std::min(v.x.value, v.y.value))
      say("shape-size", "the corner radius is more than half the plate", "give a smaller corner radius");
    for (const PlateHole& h : v.holes) {
      size("hole diameter", h.diameter);
      may_be_zero("countersink", h.countersink);
      const bool out = v.y.value > 0 ? std::abs(h.at.x) > v.x.value / 2 || std::abs(h.at.y) > v.y.value / 2
                                     : std::hypot(h.at.x, h.at.y) > v.x.value / 2;
      if (out)
        say("shape-outline", fmt::format("a hole at ({}, {}) lies outside its plate", h.at.x, h.at.y),
            "move the hole onto the plate");
    }
    for (std::size_t i = 0; i < v.holes.size(); ++i)
      for (std::size_t j = i + 1; j < v.holes.size(); ++j) {
        const PlateHole &a = v.holes[i], &b = v.holes[j];
        if (std::hypot(a.at.x - b.at.x, a.at.y - b.at.y) < (a.diameter.value + b.diameter.value) / 2)
          say("shape-outline", fmt::format("holes {} and {} of a plate run into each other", i + 1, j + 1),
              "move them apart, or cut one of them as a shape of its own");
      }
  }
  void look_thread(const ThreadShape& v) {
    size("nominal diameter", v.nominal), size("pitch", v.pitch), size("length", v.length);
    if (v.nominal.value > 0 && core_diameter(v.nominal, v.pitch).value <= 0)
      say("shape-size", "the pitch is as large as the thread",
          "give the pitch of the thread, such as 0.5 mm for M3");
  }
  void look_all(const std::vector<SolidTree>& of, std::size_t least, int depth) {
    if (of.size() < least)
      say("shape-empty", "there is nothing to join or cut", "give the shapes it is made of");
    for (const SolidTree& tree : of) look(tree, depth + 1);
  }

  Place place_;
  int count_ = 0;
  bool too_deep_ = false;
};

void write(std::string& out, const SolidTree& tree);

void write_all(std::string& out, const char* word, const std::vector<SolidTree>& of) {
  out += word;
  out += '(';
  for (const SolidTree& t : of) write(out, t);
  out += ')';
}

void write_polygon(std::string& out, const Polygon& p) {
  out += '[';
  for (Point2 q : p) fmt::format_to(std::back_inserter(out), "{},{};", q.x, q.y);
  out += ']';
}

void write_placement(std::string& out, const Placement& at) {
  if (at == Placement{}) return;
  out += '@';
  for (double v : at.turn) fmt::format_to(std::back_inserter(out), "{},", v);
  fmt::format_to(std::back_inserter(out), "{},{},{}", at.shift.x, at.shift.y, at.shift.z);
}

void write(std::string& out, const SolidTree& tree) {
  const auto to = std::back_inserter(out);
  std::visit(
      Cases{[&](const BoxShape& v) { fmt::format_to(to, "box {} {} {}", v.x.value, v.y.value, v.z.value); },
            [&](const CylinderShape& v) {
              fmt::format_to(to, "cylinder {} {}", v.diameter.value, v.height.value);
            },
            [&](const ConeShape& v) {
              fmt::format_to(to, "cone {} {} {}", v.lower.value, v.upper.value, v.height.value);
            },
            [&](const SphereShape& v) { fmt::format_to(to, "sphere {}", v.diameter.value); },
            [&](const ExtrusionShape& v) {
              fmt::format_to(to, "extrusion {} ", v.height.value);
              write_polygon(out, v.outline);
              for (const Polygon& o : v.openings) write_polygon(out, o);
            },
            [&](const PlateShape& v) {
              fmt::format_to(to, "plate {} {} {} {}", v.x.value, v.y.value, v.thickness.value,
                             v.corner.value);
              for (const PlateHole& h : v.holes)
                fmt::format_to(to, " {},{},{},{}", h.at.x, h.at.y, h.diameter.value, h.countersink.value);
            },
            [&](const ThreadShape& v) {
              fmt::format_to(to, "thread {} {} {} {}", v.nominal.value, v.pitch.value, v.length.value,
                             v.inner ? "inner" : "outer");
            },
            [&](const CutShape& v) { write_all(out, "cut", v.of); },
            [&](const FuseShape& v) { write_all(out, "fuse", v.of); },
            [&](const CommonShape& v) { write_all(out, "common", v.of); }},
      tree.shape);
  write_placement(out, tree.at);
  out += ' ';
}

}  // namespace

Diagnostics faults(const SolidTree& tree) {
  Inspector inspector;
  inspector.look(tree, 0);
  return std::move(inspector.found);
}

std::string describe(const SolidTree& tree) {
  std::string out;
  write(out, tree);
  return out;
}

}  // namespace handlot::shapes
