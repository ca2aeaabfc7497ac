#include "shapes/access.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>

#include "core/text.h"
#include "shapes/distance.h"

namespace handlot::shapes {

namespace {

constexpr double kStart = 0.05;  ///< mm above the tip: the face it works on is not in its way
constexpr double kLook = 3.0;    ///< mm beside the tool that are looked at

/// A corner of a triangle in the tool's own coordinates: the tip at the origin, the tool along +z.
using Polygon3 = std::vector<Vec3>;

Polygon3 above(const std::array<Vec3, 3>& t, double z) {
  Polygon3 out;
  for (std::size_t k = 0; k < 3; ++k) {
    const Vec3 p = t[k], q = t[(k + 1) % 3];
    if (p.z >= z) out.push_back(p);
    if ((p.z >= z) != (q.z >= z)) out.push_back(p + (q - p) * ((z - p.z) / (q.z - p.z)));
  }
  return out;
}

struct Beside {
  double room = std::numeric_limits<double>::infinity();
  double height = 0;
  void take(double r, double z) {
    if (r < room) room = r, height = z;
  }
};

/// Distance from the axis to a polygon seen along it.
Beside from_axis(const Polygon3& p) {
  Beside found;
  bool around = true;
  double turn = 0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const Vec3 a = p[i], b = p[(i + 1) % p.size()];
    const double ex = b.x - a.x, ey = b.y - a.y, e = ex * ex + ey * ey;
    const double f = e > 0 ? std::clamp(-(a.x * ex + a.y * ey) / e, 0.0, 1.0) : 0;
    found.take(std::hypot(a.x + f * ex, a.y + f * ey), a.z + f * (b.z - a.z));
    const double side = a.x * ey - a.y * ex;
    if (turn == 0) turn = side;
    if (side * turn < 0 || side == 0) around = false;
  }
  if (around) found.room = 0;
  return found;
}

/// Room between a rectangle about the axis and a polygon seen along it; negative when they overlap.
Beside from_rectangle(const Polygon3& p, double half_x, double half_y, double angle) {
  const double c = std::cos(angle), s = std::sin(angle);
  double gap_x0 = 1e300, gap_x1 = -1e300, gap_y0 = 1e300, gap_y1 = -1e300, height = p.front().z;
  Beside corner;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const auto turned = [&](Vec3 v) { return Vec3{c * v.x + s * v.y, -s * v.x + c * v.y, v.z}; };
    const Vec3 a = turned(p[i]), b = turned(p[(i + 1) % p.size()]);
    gap_x0 = std::min(gap_x0, a.x), gap_x1 = std::max(gap_x1, a.x);
    gap_y0 = std::min(gap_y0, a.y), gap_y1 = std::max(gap_y1, a.y);
    // Eleven points of the edge are enough for a verdict to a twentieth of its length.
    for (int k = 0; k <= 10; ++k) {
      const Vec3 q = a + (b - a) * (k / 10.0);
      const double dx = std::abs(q.x) - half_x, dy = std::abs(q.y) - half_y;
      corner.take(dx > 0 && dy > 0 ? std::hypot(dx, dy) : std::max(dx, dy), q.z);
    }
  }
  const double apart = std::max({gap_x0 - half_x, -half_x - gap_x1, gap_y0 - half_y, -half_y - gap_y1});
  if (apart < 0 && corner.room > 0 && from_axis(p).room == 0) return {-std::min(half_x, half_y), height};
  return corner;
}

/// One attempt: the tool straight along `axis`.
class Attempt {
 public:
  Attempt(const Scene& scene, const Tool& tool, const Spot& spot, double turn, const PartSet& parts)
      : scene_(scene), tool_(tool), turn_(turn), to_tool_(looking_along(unit(spot.axis))) {
    to_tool_.shift = -to_tool_.direction(spot.at);
    for (std::size_t part : parts.list()) look(part);
  }

  Access answer() const {
    Access a;
    a.error = Millimetres(scene_.deflection());
    a.room = Millimetres(kLook);
    std::vector<std::pair<double, std::size_t>> order;
    for (const auto& [part, beside] : found_) order.push_back({beside.room, part});
    std::sort(order.begin(), order.end());
    if (order.empty()) return a;
    const Beside& worst = found_.at(order.front().second);
    a.room = Millimetres(worst.room);
    a.height = Millimetres(worst.height);
    const double limit = worst.room < 0 ? 0 : tool_.margin.value;
    a.verdict = worst.room < 0                    ? Access::Verdict::blocked
                : worst.room < tool_.margin.value ? Access::Verdict::tight
                                                  : Access::Verdict::free;
    if (a.verdict != Access::Verdict::free)
      for (const auto& [room, part] : order)
        if (room < limit) a.by.push_back(part);
    return a;
  }

  PartSet blockers() const {
    PartSet set(scene_.size());
    for (const auto& [part, beside] : found_)
      if (beside.room < 0) set.add(part);
    return set;
  }

 private:
  void look(std::size_t part) {
    const TriangleTree& tree = scene_.tree(part);
    double widest = 0;
    for (const ToolStretch& s : tool_.stretches)
      widest = std::max(widest,
                        s.depth.value > 0 ? std::hypot(s.width.value, s.depth.value) / 2 + s.beside.value : s.width.value / 2);
    const double reach = widest + kLook;
    std::vector<std::uint32_t> stack{0};
    while (!stack.empty()) {
      const auto& node = tree.nodes()[stack.back()];
      stack.pop_back();
      if (away(node.box, reach)) continue;
      if (node.count == 0) {
        stack.push_back(node.first);
        stack.push_back(node.first + 1);
        continue;
      }
      for (std::uint32_t i = node.first; i < node.first + node.count; ++i) judge(part, tree, tree.order()[i]);
    }
  }

  bool away(const Box& box, double reach) const {
    const Vec3 c = to_tool_.point(box.middle());
    const double half = length(box.size()) / 2;
    return std::hypot(c.x, c.y) - half > reach || c.z + half < kStart;
  }

  void judge(std::size_t part, const TriangleTree& tree, std::uint32_t index) {
    const auto& corner = tree.body().mesh->triangles[index];
    std::array<Vec3, 3> t;
    for (std::size_t k = 0; k < 3; ++k) t[k] = to_tool_.point(tree.body().vertices[corner[k]]);
    for (std::size_t k = 0; k < tool_.stretches.size(); ++k) {
      const ToolStretch& s = tool_.stretches[k];
      Polygon3 p = above(t, s.from.value + kStart);
      if (p.size() < 3) continue;
      Beside beside;
      if (s.depth.value > 0) {
        for (Vec3& v : p) v = v - Vec3{std::cos(turn_), std::sin(turn_), 0} * s.beside.value;
        beside = from_rectangle(p, s.width.value / 2, s.depth.value / 2, turn_);
      } else {
        beside = from_axis(p);
        beside.room -= s.width.value / 2;
      }
      if (beside.room < kLook) found_[part].take(beside.room, beside.height);
    }
  }

  const Scene& scene_;
  const Tool& tool_;
  double turn_;  ///< radians about the axis; tells for flat tools only
  Placement to_tool_;
  std::map<std::size_t, Beside> found_;
};

bool better(const Access& a, const Access& b) {
  if (a.verdict != b.verdict) return a.verdict < b.verdict;
  return a.room > b.room;
}

/// Axes to try: straight, then leaning further and further to eight sides.
std::vector<std::pair<double, Vec3>> leans(const Tool& tool, Vec3 axis) {
  std::vector<std::pair<double, Vec3>> found{{0, unit(axis)}};
  const Placement frame = inverse(looking_along(unit(axis)));
  for (double lean : {15.0, 30.0, 45.0}) {
    if (lean > tool.may_lean.value + 1e-9) break;
    const double r = lean * std::numbers::pi / 180;
    for (int side = 0; side < 8; ++side) {
      const double a = side * std::numbers::pi / 4;
      found.push_back(
          {lean, frame.direction({std::sin(r) * std::cos(a), std::sin(r) * std::sin(a), std::cos(r)})});
    }
  }
  return found;
}

/// Every way of holding the tool with this end down, straight ones first, until `enough` says so. A flat tool is turned about its
/// axis by half a turn, an arm by a whole one. Returns whether it was enough.
template <class Enough>
bool each_hold(const Scene& scene, const Tool& tool, const Spot& spot, const PartSet& judged, Enough enough) {
  const auto& all = tool.stretches;
  const bool flat = std::any_of(all.begin(), all.end(), [](const ToolStretch& s) { return s.depth.value > 0; });
  const bool arm = std::any_of(all.begin(), all.end(), [](const ToolStretch& s) { return s.beside.value > 0; });
  const int turns = flat ? 12 : 1;
  for (const auto& [lean, axis] : leans(tool, spot.axis)) {
    for (int k = 0; k < turns; ++k) {
      const Attempt attempt(scene, tool, {spot.at, axis}, k * (arm ? 2 : 1) * std::numbers::pi / turns, judged);
      if (enough(attempt, Degrees(lean))) return true;
    }
  }
  return false;
}

/// The same with the other end down too, where the tool has two.
template <class Enough>
void each_way(const Scene& scene, const Tool& tool, const Spot& spot, const PartSet& judged, Enough enough) {
  if (each_hold(scene, tool, spot, judged, enough) || tool.turned_round.empty()) return;
  Tool other = tool;
  other.stretches = tool.turned_round;
  each_hold(scene, other, spot, judged, enough);
}

}  // namespace

Access access(const Scene& scene, const Tool& tool, const Spot& spot, const PartSet& installed,
              const PartSet& work) {
  PartSet judged = installed;
  judged -= work;
  std::optional<Access> best;
  each_way(scene, tool, spot, judged, [&](const Attempt& attempt, Degrees lean) {
    Access now = attempt.answer();
    now.lean = lean;
    if (!best || better(now, *best)) best = std::move(now);
    return best->verdict == Access::Verdict::free;
  });
  return *best;
}

std::vector<PartSet> in_the_way_of(const Scene& scene, const Tool& tool, const Spot& spot, const PartSet& parts,
                                   const PartSet& work) {
  PartSet judged = parts;
  judged -= work;
  std::vector<PartSet> ways;
  each_way(scene, tool, spot, judged, [&](const Attempt& attempt, Degrees) {
    ways.push_back(attempt.blockers());
    if (ways.back().empty()) ways = {PartSet(ways.back())};
    return ways.back().empty();
  });
  return ways;
}

std::optional<std::size_t> last_access(const std::vector<PartSet>& ways, const std::vector<PartSet>& states) {
  for (std::size_t i = states.size(); i-- > 0;)
    if (std::any_of(ways.begin(), ways.end(), [&](const PartSet& way) { return !way.meets(states[i]); })) return i;
  return std::nullopt;
}

std::vector<std::pair<std::size_t, std::size_t>> access_first(const Scene& scene,
                                                              const std::vector<Reached>& reached) {
  PartSet all(scene.size());
  for (std::size_t i = 0; i < scene.size(); ++i) all.add(i);
  std::vector<std::pair<std::size_t, std::size_t>> before;
  for (const Reached& r : reached) {
    PartSet work(scene.size());
    work.add(r.part);
    const Access end = access(scene, r.tool, r.spot, all, work);
    if (end.verdict != Access::Verdict::blocked) continue;
    for (std::size_t by : end.by) before.push_back({r.part, by});
  }
  return before;
}

std::optional<Spot> head_of(const Scene& scene, std::size_t fastener) {
  const Body& body = scene.body(fastener);
  const Mesh& mesh = *body.mesh;
  // The axis that most round faces share.
  std::optional<std::size_t> round;
  for (std::size_t f = 0; f < mesh.faces.size() && !round; ++f)
    if (mesh.faces[f].kind == Surface::Kind::cylinder) round = f;
  if (!round) return std::nullopt;
  const Vec3 axis = unit(scene.part(fastener).at.direction(mesh.faces[*round].axis));
  const Vec3 on = scene.part(fastener).at.point(mesh.faces[*round].point);
  double low = 1e300, high = -1e300;
  for (const Vec3& v : body.vertices) {
    low = std::min(low, dot(v - on, axis));
    high = std::max(high, dot(v - on, axis));
  }
  // The head is at the end whose third of the length reaches further out.
  double wide_low = 0, wide_high = 0;
  for (const Vec3& v : body.vertices) {
    const double along = dot(v - on, axis);
    const double out = length(v - on - axis * along);
    if (along < low + (high - low) / 3) wide_low = std::max(wide_low, out);
    if (along > high - (high - low) / 3) wide_high = std::max(wide_high, out);
  }
  bool at_high = wide_high >= wide_low;
  if (std::abs(wide_high - wide_low) < 1e-6)
    at_high = dot(on + axis * ((low + high) / 2) - scene.box().middle(), axis) >= 0;
  return at_high ? Spot{on + axis * high, axis} : Spot{on + axis * low, -axis};
}

std::string say(const Scene& scene, const Access& access) {
  if (access.verdict == Access::Verdict::free) return "free";
  std::vector<std::string> names;
  for (std::size_t part : access.by) names.push_back(scene.say(part));
  const std::string at = fmt::format("{} mm above the tip", number(access.height.value, 1));
  if (access.verdict == Access::Verdict::tight)
    return fmt::format("tight: {} mm beside {} at {}", number(access.room.value, 2), listed(names), at);
  return fmt::format("blocked by {} at {}, {} mm in the way", listed(names), at,
                     number(-access.room.value, 2));
}

}  // namespace handlot::shapes
