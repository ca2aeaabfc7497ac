#include "shapes/motion.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <queue>

#include "shapes/distance.h"

namespace handlot::shapes {

namespace {

/// One moving part against one standing one; `t` in degrees or mm.
struct Pair {
  std::size_t moving, other;
  double reach;      ///< mm that any point of the moving part travels per unit of t, at most
  double floor = 0;  ///< mm, a gap that holds for every t
};

using Placing = std::function<Placement(double)>;

class Search {
 public:
  Search(const Scene& scene, Placing place, double from, double to, const MotionRules& rules)
      : scene_(scene), place_(std::move(place)), from_(from), to_(to), rules_(rules) {
    best_.gap = Millimetres(rules.beyond);
    best_.at = from;
  }

  /// Pairs with the lowest floor first: the others often need no look then.
  Clearest run(std::vector<Pair> pairs) {
    std::stable_sort(pairs.begin(), pairs.end(),
                     [](const Pair& a, const Pair& b) { return a.floor < b.floor; });
    for (const Pair& pair : pairs)
      if (pair.floor < wanted()) proven_ = std::min(proven_, settle(pair));
    best_.at_least = Millimetres(std::min(proven_, best_.gap.value) - 2 * scene_.deflection());
    best_.stopped = measured_ >= rules_.limit;
    return best_;
  }

 private:
  /// Stretches that cannot hold a gap smaller than this are of no interest.
  double wanted() const {
    if (best_.first_contact) return rules_.contact;
    // A stretch that may hold a contact is of interest however small the best gap is by then.
    return std::max(rules_.contact, best_.gap.value - std::max(rules_.fine, 0.1 * best_.gap.value));
  }

  double measure(const Pair& pair, double t) {
    ++measured_;
    const Nearest near = nearest(scene_.tree(pair.moving), scene_.tree(pair.other), place_(t), rules_.beyond);
    if (near.gap < best_.gap.value) take(pair, t, near);
    return std::min(near.gap, rules_.beyond);
  }

  void take(const Pair& pair, double t, const Nearest& near) {
    best_.gap = Millimetres(near.gap);
    best_.at = t;
    best_.moving = pair.moving;
    best_.other = pair.other;
    best_.point = near.on_a;
  }

  struct Stretch {
    double bound, t0, t1, d0, d1;
    bool operator<(const Stretch& o) const { return bound > o.bound; }
  };

  /// The gap changes by no more than `reach` per unit of t: halve the stretch whose bound is lowest until no
  /// stretch can hide a gap of interest. Returns the proven bound.
  double settle(const Pair& pair) {
    std::priority_queue<Stretch> open;
    const auto push = [&](double t0, double t1, double d0, double d1) {
      open.push({std::max(pair.floor, (d0 + d1 - pair.reach * (t1 - t0)) / 2), t0, t1, d0, d1});
    };
    constexpr int kFirst = 8;
    const double end = best_.first_contact.value_or(to_);
    double before = measure(pair, from_);
    if (before <= rules_.contact) return hit(pair, from_);
    for (int i = 1; i <= kFirst; ++i) {
      const double t0 = from_ + (end - from_) * (i - 1) / kFirst, t1 = from_ + (end - from_) * i / kFirst;
      const double now = measure(pair, t1);
      if (now <= rules_.contact) return hit(pair, from_);
      push(t0, t1, before, now);
      before = now;
    }
    while (true) {
      const Stretch s = open.top();
      if (s.bound >= wanted() || measured_ >= rules_.limit || s.t1 - s.t0 < 1e-7) return s.bound;
      open.pop();
      const double middle = (s.t0 + s.t1) / 2;
      const double d = measure(pair, middle);
      if (d <= rules_.contact) return hit(pair, from_);
      push(s.t0, middle, s.d0, d);
      push(middle, s.t1, d, s.d1);
    }
  }

  /// They touch somewhere: from the start, as far as the gap allows each time, never past a contact.
  double hit(const Pair& pair, double t) {
    while (t <= best_.first_contact.value_or(to_) && measured_ < rules_.limit) {
      const double d = measure(pair, t);
      if (d <= rules_.contact) {
        best_.first_contact = t;
        take(pair, t, nearest(scene_.tree(pair.moving), scene_.tree(pair.other), place_(t), rules_.beyond));
        break;
      }
      t += std::max((d - rules_.contact / 2) / pair.reach, 1e-9);
    }
    return 0;
  }

  const Scene& scene_;
  Placing place_;
  double from_, to_;
  MotionRules rules_;
  Clearest best_;
  double proven_ = 1e300;
  std::size_t measured_ = 0;
};

bool judged(const Scene& scene, std::size_t m, std::size_t o, double touch) {
  return scene.declared(m, o) != Declared::Kind::gears &&
         nearest(scene.tree(m), scene.tree(o), {}, touch).gap > touch;
}

/// Distance from the axis and place along it.
struct RoundBox {
  double r0 = 1e300, r1 = 0, z0 = 1e300, z1 = -1e300;
  void add(const RoundBox& o) {
    r0 = std::min(r0, o.r0), r1 = std::max(r1, o.r1);
    z0 = std::min(z0, o.z0), z1 = std::max(z1, o.z1);
  }
  double apart(const RoundBox& o) const {
    return std::hypot(std::max({0.0, o.r0 - r1, r0 - o.r1}), std::max({0.0, o.z0 - z1, z0 - o.z1}));
  }
};

/// The range of each triangle when it is turned all the way round.
std::vector<RoundBox> round_boxes(const Body& body, Vec3 through, Vec3 axis) {
  std::vector<RoundBox> boxes;
  for (const auto& t : body.mesh->triangles) {
    RoundBox box;
    Vec3 flat[3];
    for (std::size_t k = 0; k < 3; ++k) {
      const Vec3 v = body.vertices[t[k]] - through;
      const double z = dot(v, axis);
      flat[k] = v - axis * z;
      box.add({length(flat[k]), length(flat[k]), z, z});
    }
    // An edge may pass nearer to the axis than its ends; a triangle about the axis meets it.
    bool about = true;
    for (std::size_t k = 0; k < 3; ++k) {
      const Vec3 a = flat[k], e = flat[(k + 1) % 3] - a;
      const double ee = dot(e, e), f = ee > 0 ? std::clamp(-dot(a, e) / ee, 0.0, 1.0) : 0;
      box.r0 = std::min(box.r0, length(a + e * f));
      about = about && dot(cross(a, e), axis) * dot(cross(flat[0], flat[1] - flat[0]), axis) > 0;
    }
    if (about) box.r0 = 0;
    boxes.push_back(box);
  }
  return boxes;
}

RoundBox all_of(const std::vector<RoundBox>& boxes) {
  RoundBox all;
  for (const RoundBox& b : boxes) all.add(b);
  return all;
}

constexpr double kBearing = 0.02;

}  // namespace

std::vector<std::pair<std::size_t, std::size_t>> bearings(const Scene& scene, const PartSet& moving,
                                                          const PartSet& others, double touch) {
  std::vector<std::pair<std::size_t, std::size_t>> found;
  for (std::size_t m : moving.list())
    for (std::size_t o : others.list())
      if (m != o && nearest(scene.tree(m), scene.tree(o), {}, touch).gap <= touch) found.push_back({m, o});
  return found;
}

Clearest turning(const Scene& scene, const PartSet& moving, const PartSet& others, const Turn& turn,
                 const MotionRules& rules) {
  const Vec3 axis = unit(turn.axis);
  std::vector<Pair> pairs;
  for (std::size_t m : moving.list()) {
    const RoundBox whole = all_of(round_boxes(scene.body(m), turn.through, axis));
    for (std::size_t o : others.list()) {
      if (m == o || moving.has(o)) continue;
      double floor = 1e300;
      for (const RoundBox& b : round_boxes(scene.body(o), turn.through, axis))
        floor = std::min(floor, whole.apart(b));
      if (floor < rules.beyond && judged(scene, m, o, kBearing))
        pairs.push_back({m, o, whole.r1 * std::numbers::pi / 180, floor});
    }
  }
  return Search(
             scene, [&](double t) { return turned_about(turn.through, axis, Degrees(t)); }, turn.from.value,
             turn.to.value, rules)
      .run(std::move(pairs));
}

Clearest sliding(const Scene& scene, const PartSet& moving, const PartSet& others, const Slide& slide,
                 const MotionRules& rules) {
  const Vec3 along = unit(slide.along);
  std::vector<Pair> pairs;
  for (std::size_t m : moving.list())
    for (std::size_t o : others.list())
      if (m != o && !moving.has(o) && judged(scene, m, o, kBearing)) pairs.push_back({m, o, 1, 0});
  return Search(
             scene,
             [&](double t) {
               return Placement{Placement{}.turn, along * t};
             },
             slide.from.value, slide.to.value, rules)
      .run(std::move(pairs));
}

}  // namespace handlot::shapes
