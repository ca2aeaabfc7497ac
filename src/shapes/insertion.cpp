// Can one body go in, with these parts there? Straight, or along and then across.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"
#include "shapes/order.h"
#include "shapes/projection.h"

namespace handlot::shapes {

namespace {

bool same_direction(Vec3 a, Vec3 b) {
  return length(a - b) < 0.009;
}

/// May the body be put in by travelling along `travel`? A lone part keeps to its declared directions.
bool allowed(const Scene& scene, const PartSet& moving, Vec3 travel) {
  if (moving.count() != 1) return true;
  const auto& declared = scene.part(moving.list().front()).insert_along;
  return declared.empty() || std::any_of(declared.begin(), declared.end(),
                                         [&](Vec3 d) { return same_direction(unit(d), travel); });
}

PartSet blockers(const Blocking& table, std::size_t d, const PartSet& moving, const PartSet& present) {
  PartSet found(table.parts());
  for (std::size_t part : moving.list()) found |= table.blockers(d, part);
  found &= present;
  found -= moving;
  return found;
}

/// A body on its way out along one direction, then another. All sizes in mm.
class TwoMoves {
 public:
  TwoMoves(const Scene& scene, const Blocking& table, const PartSet& moving, const PartSet& present)
      : scene_(scene), table_(table), moving_(moving.list()), limits_(limits_for(scene, {})) {
    PartSet others = present;
    others -= moving;
    others_ = others.list();
    for (std::size_t m : moving_) box_.add(scene.body(m).box);
  }

  /// Leaves along directions()[d] first.
  std::optional<Way> leaving_first(std::size_t d) {
    const Vec3 along = table_.directions()[d];
    const double free = free_along(along);
    if (free < 0.1 || std::isinf(free)) return std::nullopt;
    for (double travel : places(along, free))
      for (const Vec3& across : table_.directions())
        if (length(cross(along, across)) > 0.5 && leaves(along * travel, across))
          return Way{-along, -across, Millimetres(travel)};
    return std::nullopt;
  }

 private:
  double free_along(Vec3 along) const {
    const Placement to_z = looking_along(unit(along));
    double free = std::numeric_limits<double>::infinity();
    for (std::size_t m : moving_) {
      const FlatSet up = project(scene_.body(m), to_z, {}, 1).up;
      for (std::size_t o : others_)
        free = std::min(free, up_free(up, project(scene_.body(o), to_z, {}, 2).down, limits_));
    }
    return free;
  }

  /// How far to go along before going across: just past the end of each part that is there, and some places
  /// between.
  std::vector<double> places(Vec3 along, double free) const {
    std::vector<double> found{free, free * 0.75, free * 0.5, free * 0.25};
    const auto reach = [&](const Box& box, double sign) {
      double far = -1e300;
      for (int k = 0; k < 8; ++k) {
        const Vec3 corner{k & 1 ? box.high.x : box.low.x, k & 2 ? box.high.y : box.low.y,
                          k & 4 ? box.high.z : box.low.z};
        far = std::max(far, sign * dot(corner, along));
      }
      return sign * far;
    };
    const double tail = reach(box_, -1);
    for (std::size_t o : others_) {
      const double past = reach(scene_.body(o).box, 1) - tail + 0.05;
      if (past > 0.1 && past < free) found.push_back(past);
    }
    std::sort(found.begin(), found.end(), std::greater<>());
    found.erase(std::unique(found.begin(), found.end(), [](double a, double b) { return a - b < 0.05; }),
                found.end());
    if (found.size() > 12) found.resize(12);
    return found;
  }

  bool leaves(Vec3 shift, Vec3 across) const {
    const Placement to_z = looking_along(unit(across));
    for (std::size_t m : moving_) {
      const FlatSet up = project(scene_.body(m), to_z, shift, 1).up;
      for (std::size_t o : others_)
        if (up_blocked(up, project(scene_.body(o), to_z, {}, 2).down, limits_)) return false;
    }
    return true;
  }

  const Scene& scene_;
  const Blocking& table_;
  std::vector<std::size_t> moving_, others_;
  ProjectionLimits limits_;
  Box box_;
};

}  // namespace

Insertion can_go_in(const Scene& scene, const Blocking& table, const PartSet& moving, const PartSet& present,
                    bool two_moves) {
  Insertion answer;
  for (std::size_t d = 0; d < table.directions().size(); ++d) {
    const Vec3 travel = -table.directions()[d];
    if (!allowed(scene, moving, travel)) continue;
    const PartSet in_the_way = blockers(table, d, moving, present);
    if (in_the_way.empty()) {
      answer.possible = true;
      answer.way.last = travel;
      answer.obstacles.clear();
      return answer;
    }
    answer.obstacles.push_back({travel, in_the_way.list()});
  }
  if (!two_moves) return answer;
  TwoMoves pair(scene, table, moving, present);
  for (std::size_t d = 0; d < table.directions().size(); ++d) {
    if (!allowed(scene, moving, -table.directions()[d])) continue;
    if (const auto way = pair.leaving_first(d)) return {true, *way, {}};
  }
  return answer;
}

std::string say(const Scene& scene, const PartSet& body, const std::vector<Obstacle>& obstacles) {
  std::vector<std::string> names;
  for (std::size_t part : body.list()) names.push_back(scene.say(part));
  std::string text = fmt::format("{} cannot go in", listed(names));
  if (obstacles.empty()) return text + ": none of its directions was tried";
  // Directions with the same blockers are said together.
  std::vector<std::pair<std::vector<std::size_t>, std::vector<std::string>>> groups;
  for (const Obstacle& o : obstacles) {
    const auto same =
        std::find_if(groups.begin(), groups.end(), [&](const auto& g) { return g.first == o.blockers; });
    auto& group = same == groups.end() ? groups.emplace_back(o.blockers, std::vector<std::string>{}) : *same;
    group.second.push_back(say_insertion(-o.travel));
  }
  const char* join = ": ";
  for (const auto& [blockers, directions] : groups) {
    std::vector<std::string> by;
    for (std::size_t b : blockers) by.push_back(scene.say(b));
    if (by.size() > 4) {
      const std::size_t more = by.size() - 3;
      by.resize(3);
      by.push_back(fmt::format("{} more", more));
    }
    text += fmt::format("{}{} {} {} in the way", join, listed(directions), listed(by),
                        by.size() == 1 ? "is" : "are");
    join = "; ";
  }
  return text;
}

std::vector<BlockedArrival> check_sequence(const Scene& scene, const Blocking& table,
                                           const std::vector<Arrival>& sequence, bool two_moves) {
  std::vector<BlockedArrival> found;
  for (std::size_t i = 0; i < sequence.size(); ++i) {
    std::vector<PartSet> waiting = sequence[i].bodies;
    // The bodies of one step may come in any order: take out what can come out, until nothing more does.
    for (bool again = true; again && !waiting.empty();) {
      again = false;
      for (std::size_t k = 0; k < waiting.size() && !again; ++k) {
        PartSet there = sequence[i].onto;
        for (std::size_t other = 0; other < waiting.size(); ++other)
          if (other != k) there |= waiting[other];
        if (!can_go_in(scene, table, waiting[k], there, two_moves).possible) continue;
        waiting.erase(waiting.begin() + static_cast<std::ptrdiff_t>(k));
        again = true;
      }
    }
    for (const PartSet& body : waiting) {
      BlockedArrival blocked{sequence[i].step, i, body, {}, {}};
      PartSet there = sequence[i].onto;
      blocked.obstacles = can_go_in(scene, table, body, there, false).obstacles;
      for (std::size_t j = i; j-- > 0 && !blocked.last_before;) {
        for (const PartSet& came : sequence[j].bodies) there -= came;
        if (can_go_in(scene, table, body, there, two_moves).possible) blocked.last_before = j;
      }
      found.push_back(std::move(blocked));
    }
  }
  return found;
}

}  // namespace handlot::shapes
