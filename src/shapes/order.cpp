// An order for parts with no stated order: the unit is taken apart, and the steps are read backwards.
#include "shapes/order.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace handlot::shapes {

namespace {

double bulk(const Scene& scene, std::size_t part) {
  const Vec3 s = scene.body(part).box.size();
  return s.x * s.y * s.z;
}

/// Takes a set of parts apart. Directions are those of leaving.
class Dismantler {
 public:
  Dismantler(const Scene& scene, const Blocking& table, std::span<const MeetingPair> meetings,
             const OrderRules& rules)
      : scene_(scene), table_(table), rules_(rules), touches_(scene.size(), PartSet(scene.size())) {
    for (const MeetingPair& m : meetings)
      if (m.how != Meeting::apart && m.gap <= rules.contact) {
        touches_[m.a].add(m.b);
        touches_[m.b].add(m.a);
      }
    for (const Scene::Group& g : scene.groups()) {
      PartSet set(scene.size());
      for (std::size_t part : g.parts) set.add(part);
      groups_.push_back(set);
    }
    rank_.resize(scene.size());
    std::iota(rank_.begin(), rank_.end(), std::size_t{0});
    std::stable_sort(rank_.begin(), rank_.end(), [&](std::size_t a, std::size_t b) { return sooner(a, b); });
  }

  InsertionOrder run() {
    PartSet all(scene_.size());
    for (std::size_t i = 0; i < scene_.size(); ++i) all.add(i);
    for (std::size_t i = 0; i < scene_.size(); ++i)
      if (touches_[i].empty() && scene_.size() > 1) order_.floating.push_back(i);
    if (scene_.size() > 0) dismantle(all, -1);
    return std::move(order_);
  }

 private:
  struct Removal {
    PartSet parts;
    std::size_t direction = 0;
    std::optional<Way> way;  ///< when it takes two moves
    bool loose = false;
  };

  /// Which of two parts leaves first when both can: fasteners, then small ones, then by id.
  bool sooner(std::size_t a, std::size_t b) const {
    const Part &pa = scene_.part(a), &pb = scene_.part(b);
    if (pa.frame != pb.frame) return pb.frame;
    if (pa.fastener != pb.fastener) return pa.fastener;
    const double va = bulk(scene_, a), vb = bulk(scene_, b);
    if (std::abs(va - vb) > 1e-6 * std::max(va, vb)) return va < vb;
    return pa.id < pb.id;
  }

  /// The part that stays: the declared frame, or else the bulkiest that is no fastener.
  std::size_t base_of(const PartSet& unit) const {
    for (std::size_t k = rank_.size(); k-- > 0;)
      if (unit.has(rank_[k])) return rank_[k];
    return unit.list().front();
  }

  /// The parts of `rest` that hang together with `root`.
  PartSet connected(const PartSet& rest, std::size_t root) const {
    PartSet reached(scene_.size());
    std::vector<std::size_t> todo{root};
    reached.add(root);
    while (!todo.empty()) {
      PartSet next = touches_[todo.back()];
      todo.pop_back();
      next &= rest;
      next -= reached;
      for (std::size_t p : next.list()) todo.push_back(p);
      reached |= next;
    }
    return reached;
  }

  /// What must leave together with `start` along a direction; none when the base would have to.
  std::optional<PartSet> closure(const PartSet& unit, const PartSet& held, std::size_t base,
                                 std::size_t start, std::size_t d, bool keep_hold) {
    ++looked_;
    PartSet moving(scene_.size());
    moving.add(start);
    for (std::size_t before = 0; before != moving.count();) {
      before = moving.count();
      PartSet more(scene_.size());
      for (std::size_t p : moving.list()) more |= table_.blockers(d, p);
      for (const auto& [a, b] : rules_.before)
        if (moving.has(a)) more.add(b);
      for (const PartSet& whole : groups_) {
        PartSet outside = unit;
        outside -= whole;
        if (whole.meets(moving) && !outside.empty()) more |= whole;
      }
      more &= unit;
      moving |= more;
      if (moving.has(base)) return std::nullopt;
      if (!keep_hold) continue;
      PartSet rest = unit;
      rest -= moving;
      PartSet lost = rest;
      lost &= held;
      lost -= connected(rest, base);
      moving |= lost;
    }
    if (moving.count() == 1 && !direction_declared(start, d)) return std::nullopt;
    return moving;
  }

  bool direction_declared(std::size_t part, std::size_t d) const {
    const auto& along = scene_.part(part).insert_along;
    return along.empty() || std::any_of(along.begin(), along.end(), [&](Vec3 v) {
             return length(unit(v) + table_.directions()[d]) < 0.009;
           });
  }

  /// A single part that can leave and leaves everything else held.
  std::optional<Removal> single(const PartSet& unit, const PartSet& held, std::size_t base) {
    for (int same_way = 1; same_way >= 0; --same_way)
      for (std::size_t part : rank_) {
        if (!unit.has(part) || part == base) continue;
        for (std::size_t d = 0; d < table_.directions().size(); ++d) {
          if (same_way == 1 && !(scene_.part(part).fastener || d == last_direction_)) continue;
          if (table_.blockers(d, part).meets(unit) || !direction_declared(part, d)) continue;
          if (const auto alone = closure(unit, held, base, part, d, true); alone && alone->count() == 1)
            return Removal{*alone, d, {}, false};
          break;  // hold and stated order do not depend on the direction
        }
      }
    return std::nullopt;
  }

  std::optional<Removal> smallest(const PartSet& unit, const PartSet& held, std::size_t base,
                                  bool keep_hold) {
    std::optional<Removal> best;
    for (std::size_t part : rank_) {
      if (!unit.has(part) || part == base) continue;
      for (std::size_t d = 0; d < table_.directions().size(); ++d) {
        if (looked_ > rules_.limit) return std::nullopt;
        auto moving = closure(unit, held, base, part, d, keep_hold);
        if (moving && (!best || moving->count() < best->parts.count()))
          best = Removal{std::move(*moving), d, {}, !keep_hold};
      }
    }
    return best;
  }

  std::optional<Removal> by_two_moves(const PartSet& unit, const PartSet& held, std::size_t base) {
    if (!rules_.two_moves) return std::nullopt;
    for (std::size_t part : rank_) {
      if (!unit.has(part) || part == base) continue;
      PartSet rest = unit;
      rest.remove(part);
      PartSet lost = rest;
      lost &= held;
      lost -= connected(rest, base);
      if (!lost.empty()) continue;
      PartSet one(scene_.size());
      one.add(part);
      const Insertion in = can_go_in(scene_, table_, one, rest, true);
      if (in.possible) return Removal{one, 0, in.way, false};
    }
    return std::nullopt;
  }

  /// Appends the steps that build `unit`, base first.
  void dismantle(PartSet unit, int group) {
    const std::size_t base = base_of(unit);
    const PartSet held = connected(unit, base);
    std::vector<Removal> removals;
    while (unit.count() > 1) {
      auto next = single(unit, held, base);
      if (!next) next = smallest(unit, held, base, true);
      if (!next) next = by_two_moves(unit, held, base);
      if (!next) next = smallest(unit, held, base, false);
      if (!next) break;
      unit -= next->parts;
      if (!next->way) last_direction_ = next->direction;
      removals.push_back(std::move(*next));
    }
    if (unit.count() > 1) give_up(unit, base);
    // What is left is the base; a stuck rest counts as one body so that the others still get their place.
    order_.steps.push_back({unit.list(), Way{{0, 0, -1}, {}, {}}, false, group});
    for (std::size_t k = removals.size(); k-- > 0;) {
      const Removal& r = removals[k];
      const Way way = r.way ? *r.way : Way{-table_.directions()[r.direction], {}, {}};
      if (r.parts.count() > 1) {
        const int own = static_cast<int>(order_.groups.size());
        order_.groups.push_back({name_of(r.parts, own), r.parts.list()});
        dismantle(r.parts, own);
      }
      order_.steps.push_back({r.parts.list(), way, r.loose, group});
    }
  }

  std::string name_of(const PartSet& parts, int own) const {
    for (std::size_t g = 0; g < groups_.size(); ++g)
      if (groups_[g] == parts) return scene_.groups()[g].id;
    return "subassembly " + std::to_string(own + 1);
  }

  void give_up(const PartSet& unit, std::size_t base) {
    order_.stopped = order_.stopped || looked_ > rules_.limit;
    for (std::size_t part : unit.list()) {
      if (part == base) continue;
      PartSet one(scene_.size()), rest = unit;
      one.add(part);
      rest.remove(part);
      const Insertion in = can_go_in(scene_, table_, one, rest, false);
      order_.stuck.push_back({{part}, in.obstacles});
    }
  }

  const Scene& scene_;
  const Blocking& table_;
  OrderRules rules_;
  std::vector<PartSet> touches_;
  std::vector<PartSet> groups_;
  std::vector<std::size_t> rank_;
  std::size_t looked_ = 0;
  std::size_t last_direction_ = 0;
  InsertionOrder order_;
};

}  // namespace

InsertionOrder find_order(const Scene& scene, const Blocking& table, std::span<const MeetingPair> meetings,
                          const OrderRules& rules) {
  return Dismantler(scene, table, meetings, rules).run();
}

}  // namespace handlot::shapes
