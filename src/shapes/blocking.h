// blocking.h: which part stands in the way of which, along straight lines.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "shapes/assembly.h"

namespace handlot::shapes {

/// A set of parts of one scene, by index.
class PartSet {
 public:
  PartSet() = default;
  explicit PartSet(std::size_t parts) : words_((parts + 63) / 64) {}
  bool has(std::size_t part) const { return (words_[part / 64] >> (part % 64)) & 1U; }
  void add(std::size_t part) { words_[part / 64] |= std::uint64_t{1} << (part % 64); }
  void remove(std::size_t part) { words_[part / 64] &= ~(std::uint64_t{1} << (part % 64)); }
  bool empty() const;
  std::size_t count() const;
  bool meets(const PartSet& other) const;
  PartSet& operator|=(const PartSet& other);
  PartSet& operator&=(const PartSet& other);
  PartSet& operator-=(const PartSet& other);
  bool operator==(const PartSet&) const = default;
  std::vector<std::size_t> list() const;

 private:
  std::vector<std::uint64_t> words_;
};

/// What counts as "in the way".
struct BlockingRules {
  /// mm; a part that has already passed another by no more than this still counts as blocked by it.
  double touch = 0.02;
  /// mm; narrower overlaps than this (seen along the motion) are grazes. 0 = 2.5 deflections of the mesh.
  double graze = 0;
};

/// The table of who blocks whom when it LEAVES along a direction. A part goes in the opposite way.
class Blocking {
 public:
  Blocking(std::vector<Vec3> directions, std::size_t parts);
  const std::vector<Vec3>& directions() const { return directions_; }
  std::size_t parts() const { return parts_; }
  /// The parts in the way of `part` leaving along directions()[direction].
  const PartSet& blockers(std::size_t direction, std::size_t part) const {
    return sets_[direction * parts_ + part];
  }
  void add(std::size_t direction, std::size_t part, std::size_t blocker) {
    sets_[direction * parts_ + part].add(blocker);
  }
  /// Blocked pairs over all directions.
  std::size_t count() const;

 private:
  std::vector<Vec3> directions_;
  std::size_t parts_ = 0;
  std::vector<PartSet> sets_;
};

/// Does `blocker` stand in the way of `part` moving along `along` (unit) to infinity?
/// Touching faces across the motion block; faces that slide or part do not.
/// Pairs declared as threaded or pressed together that share an axis part along that axis only.
/// Accuracy   thin overlaps below BlockingRules::graze are not seen; parts that already overlap by more than
///            `touch` may pass through the face they have passed: check interference first.
bool blocked(const Scene& scene, std::size_t part, std::size_t blocker, Vec3 along,
             const BlockingRules& rules = {});

/// All pairs, all directions. Directions that come with their opposite are computed once for both.
/// Cost   about 5 us a pair and direction near each other; 46 parts in 10 directions about 0.05 s.
Blocking blocking(const Scene& scene, std::span<const Vec3> directions, const BlockingRules& rules = {});

/// How far `part` may travel along `along` before it meets `other`: mm, infinity when it never does.
double free_travel(const Scene& scene, std::size_t part, std::size_t other, Vec3 along,
                   const BlockingRules& rules = {});

/// Directions worth trying for this scene, each with its opposite, the axes first: declared ones, normals of
/// flat faces and axes of round ones, merged within half a degree, by how many parts share them.
std::vector<Vec3> candidate_directions(const Scene& scene, std::size_t limit = 16);

/// "from above", "from the left", "along (0.7, 0, 0.7)": how a part that LEAVES along `leaving` goes in.
/// Axes as in the pictures: x to the right, y away from the viewer, z up.
std::string say_insertion(Vec3 leaving);

}  // namespace handlot::shapes
