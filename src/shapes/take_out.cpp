// What has to come out before one part does.
#include <algorithm>
#include <numeric>

#include "shapes/order.h"

namespace handlot::shapes {

namespace {

/// Parts that leave as one body, with what it takes.
struct Taken {
  PartSet body;
  Way way;
};

class Unpacker {
 public:
  Unpacker(const Scene& scene, const Blocking& table, std::size_t wanted, bool two_moves)
      : scene_(scene), table_(table), wanted_(wanted), two_moves_(two_moves) {}

  /// A sequence that ends with the body of the wanted part, without any body that it could spare; large ones
  /// are spared first.
  std::optional<std::vector<Taken>> with(const std::vector<PartSet>& bodies) const {
    auto found = peel(bodies, bodies, false);
    if (!found && two_moves_) found = peel(bodies, bodies, true);
    if (!found) return std::nullopt;
    std::vector<PartSet> used;
    for (const Taken& t : *found) used.push_back(t.body);
    std::vector<PartSet> by_bulk = used;
    std::stable_sort(by_bulk.begin(), by_bulk.end(),
                     [&](const PartSet& a, const PartSet& b) { return bulk(a) > bulk(b); });
    for (const PartSet& body : by_bulk) {
      if (body.has(wanted_)) continue;
      std::vector<PartSet> fewer = used;
      std::erase(fewer, body);
      auto shorter = peel(bodies, fewer, false);
      if (!shorter) continue;
      found = std::move(shorter);
      used.clear();
      for (const Taken& t : *found) used.push_back(t.body);
    }
    return found;
  }

 private:
  double bulk(const PartSet& body) const {
    Box box;
    for (std::size_t part : body.list()) box.add(scene_.body(part).box);
    const Vec3 size = box.size();
    return size.x * size.y * size.z;
  }

  /// Takes bodies of `may` out of `bodies` as they come free, the wanted one as soon as it does.
  std::optional<std::vector<Taken>> peel(const std::vector<PartSet>& bodies, std::vector<PartSet> may,
                                         bool two_moves) const {
    std::vector<Taken> taken;
    PartSet there(scene_.size());
    for (const PartSet& b : bodies) there |= b;
    std::stable_partition(may.begin(), may.end(), [&](const PartSet& b) { return b.has(wanted_); });
    for (bool again = true; again;) {
      again = false;
      for (auto body = may.begin(); body != may.end(); ++body) {
        PartSet rest = there;
        rest -= *body;
        const bool wanted = body->has(wanted_);
        const Insertion out = can_go_in(scene_, table_, *body, rest, two_moves && wanted);
        if (!out.possible || rest.empty()) continue;
        taken.push_back({*body, out.way});
        if (wanted) return taken;
        there = rest;
        may.erase(body);
        again = true;
        break;
      }
    }
    return std::nullopt;
  }

  const Scene& scene_;
  const Blocking& table_;
  std::size_t wanted_;
  bool two_moves_;
};

/// Bonded parts as one body each, the rest alone; `apart` is parted from whatever it is bonded to.
std::vector<PartSet> bodies_of(const Scene& scene, bool keep_bonds, std::size_t apart) {
  std::vector<std::size_t> root(scene.size());
  std::iota(root.begin(), root.end(), std::size_t{0});
  const auto find = [&](std::size_t i) {
    while (root[i] != i) i = root[i];
    return i;
  };
  for (std::size_t a = 0; keep_bonds && a < scene.size(); ++a)
    for (std::size_t b = a + 1; b < scene.size(); ++b)
      if (a != apart && b != apart && scene.declared(a, b) == Declared::Kind::bond)
        root[std::max(find(a), find(b))] = std::min(find(a), find(b));
  std::vector<PartSet> bodies;
  for (std::size_t r = 0; r < scene.size(); ++r) {
    if (find(r) != r) continue;
    PartSet body(scene.size());
    for (std::size_t i = r; i < scene.size(); ++i)
      if (find(i) == r) body.add(i);
    bodies.push_back(body);
  }
  return bodies;
}

}  // namespace

Removal take_out(const Scene& scene, const Blocking& table, std::size_t part, bool two_moves) {
  const Unpacker unpacker(scene, table, part, two_moves);
  std::optional<std::vector<Taken>> found;
  // Other bonded parts as whole bodies first; then bonds broken wherever needed.
  for (const auto& bodies : {bodies_of(scene, true, part), bodies_of(scene, false, part)})
    if (!found) found = unpacker.with(bodies);
  Removal removal;
  PartSet gone(scene.size());
  if (!found) {
    PartSet one(scene.size()), rest(scene.size());
    one.add(part);
    for (std::size_t i = 0; i < scene.size(); ++i)
      if (i != part) rest.add(i);
    removal.obstacles = can_go_in(scene, table, one, rest, false).obstacles;
    return removal;
  }
  removal.possible = true;
  for (const Taken& t : *found) {
    removal.steps.push_back({t.body.list(), t.way, false, -1});
    for (std::size_t a : t.body.list())
      for (std::size_t b = 0; b < scene.size(); ++b)
        if (b != a && !t.body.has(b) && !gone.has(b) && scene.declared(a, b) == Declared::Kind::bond)
          removal.breaks.push_back({a, b});
    gone |= t.body;
  }
  return removal;
}

}  // namespace handlot::shapes
