#include "shapes/blocking.h"

#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <map>

#include "core/text.h"
#include "shapes/projection.h"

namespace handlot::shapes {

bool PartSet::empty() const {
  return std::all_of(words_.begin(), words_.end(), [](std::uint64_t w) { return w == 0; });
}
std::size_t PartSet::count() const {
  std::size_t n = 0;
  for (std::uint64_t w : words_) n += static_cast<std::size_t>(std::popcount(w));
  return n;
}
bool PartSet::meets(const PartSet& other) const {
  for (std::size_t i = 0; i < std::min(words_.size(), other.words_.size()); ++i)
    if (words_[i] & other.words_[i]) return true;
  return false;
}
PartSet& PartSet::operator|=(const PartSet& other) {
  if (words_.size() < other.words_.size()) words_.resize(other.words_.size());
  for (std::size_t i = 0; i < other.words_.size(); ++i) words_[i] |= other.words_[i];
  return *this;
}
PartSet& PartSet::operator&=(const PartSet& other) {
  for (std::size_t i = 0; i < words_.size(); ++i) words_[i] &= i < other.words_.size() ? other.words_[i] : 0;
  return *this;
}
PartSet& PartSet::operator-=(const PartSet& other) {
  for (std::size_t i = 0; i < std::min(words_.size(), other.words_.size()); ++i)
    words_[i] &= ~other.words_[i];
  return *this;
}
std::vector<std::size_t> PartSet::list() const {
  std::vector<std::size_t> parts;
  for (std::size_t i = 0; i < words_.size(); ++i)
    for (std::uint64_t w = words_[i]; w != 0; w &= w - 1)
      parts.push_back(i * 64 + static_cast<std::size_t>(std::countr_zero(w)));
  return parts;
}

Blocking::Blocking(std::vector<Vec3> directions, std::size_t parts)
    : directions_(std::move(directions)), parts_(parts), sets_(directions_.size() * parts, PartSet(parts)) {}

std::size_t Blocking::count() const {
  std::size_t n = 0;
  for (const PartSet& set : sets_) n += set.count();
  return n;
}

namespace {

/// A screw does not leave its thread sideways, whatever the overlap of the two models lets through.
bool across_joint(const Scene& scene, std::size_t a, std::size_t b, Vec3 along) {
  const auto axis = scene.joint_axis(a, b);
  return axis && length(cross(*axis, unit(along))) > 0.00873;
}

}  // namespace

bool blocked(const Scene& scene, std::size_t part, std::size_t blocker, Vec3 along,
             const BlockingRules& rules) {
  if (across_joint(scene, part, blocker, along)) return true;
  const Placement to_z = looking_along(unit(along));
  return up_blocked(project(scene.body(part), to_z, {}, 1).up, project(scene.body(blocker), to_z, {}, 2).down,
                    limits_for(scene, rules));
}

double free_travel(const Scene& scene, std::size_t part, std::size_t other, Vec3 along,
                   const BlockingRules& rules) {
  const Placement to_z = looking_along(unit(along));
  return up_free(project(scene.body(part), to_z, {}, 1).up, project(scene.body(other), to_z, {}, 2).down,
                 limits_for(scene, rules));
}

Blocking blocking(const Scene& scene, std::span<const Vec3> directions, const BlockingRules& rules) {
  Blocking table({directions.begin(), directions.end()}, scene.size());
  const ProjectionLimits limits = limits_for(scene, rules);
  std::vector<bool> done(directions.size(), false);
  for (std::size_t d = 0; d < directions.size(); ++d) {
    if (done[d]) continue;
    std::optional<std::size_t> opposite;
    for (std::size_t e = d + 1; e < directions.size() && !opposite; ++e)
      if (length(directions[d] + directions[e]) < 1e-9) opposite = e;
    if (opposite) done[*opposite] = true;
    const Placement to_z = looking_along(unit(directions[d]));
    std::vector<Projected> seen;
    seen.reserve(scene.size());
    for (std::size_t i = 0; i < scene.size(); ++i) seen.push_back(project(scene.body(i), to_z));
    for (std::size_t a = 0; a < scene.size(); ++a)
      for (std::size_t b = 0; b < scene.size(); ++b) {
        if (a == b) continue;
        if (!up_blocked(seen[a].up, seen[b].down, limits) && !across_joint(scene, a, b, directions[d]))
          continue;
        table.add(d, a, b);
        // B stops A on its way along d exactly when A stops B on its way back.
        if (opposite) table.add(*opposite, b, a);
      }
  }
  return table;
}

namespace {

constexpr double kSameDirection = 0.00873;  ///< radians, half a degree

/// A direction without its sign, and how many parts have a face along it.
struct Line {
  Vec3 along;
  std::size_t parts = 0, last_part = 0;
  bool declared = false;
};

Vec3 without_sign(Vec3 d) {
  for (double v : {d.z, d.x, d.y})
    if (std::abs(v) > 1e-6) return v < 0 ? -d : d;
  return d;
}

void count_line(std::vector<Line>& lines, Vec3 along, std::size_t part, bool declared) {
  const Vec3 line = without_sign(unit(along));
  for (Line& known : lines)
    if (length(cross(known.along, line)) < kSameDirection) {
      if (known.last_part != part + 1) ++known.parts;
      known.last_part = part + 1;
      known.declared = known.declared || declared;
      return;
    }
  lines.push_back({line, 1, part + 1, declared});
}

}  // namespace

std::vector<Vec3> candidate_directions(const Scene& scene, std::size_t limit) {
  std::vector<Line> lines{{{0, 0, 1}, 0, 0, true}, {{1, 0, 0}, 0, 0, true}, {{0, 1, 0}, 0, 0, true}};
  for (std::size_t i = 0; i < scene.size(); ++i) {
    for (const Vec3& d : scene.part(i).insert_along) count_line(lines, d, i, true);
    for (const Surface& s : scene.body(i).mesh->faces) {
      const bool tells = s.kind == Surface::Kind::plane || s.kind == Surface::Kind::cylinder ||
                         s.kind == Surface::Kind::cone || s.kind == Surface::Kind::torus;
      if (tells && length(s.axis) > 0.5) count_line(lines, scene.part(i).at.direction(s.axis), i, false);
    }
  }
  std::stable_sort(lines.begin() + 3, lines.end(), [](const Line& a, const Line& b) {
    return a.declared != b.declared ? a.declared : a.parts > b.parts;
  });
  std::vector<Vec3> directions;
  for (const Line& line : lines) {
    if (directions.size() + 2 > std::max<std::size_t>(limit, 6) && !line.declared) break;
    directions.push_back(line.along);
    directions.push_back(-line.along);
  }
  return directions;
}

std::string say_insertion(Vec3 leaving) {
  const struct {
    Vec3 from;
    const char* words;
  } known[] = {{{0, 0, 1}, "from above"},     {{0, 0, -1}, "from below"},     {{1, 0, 0}, "from the right"},
               {{-1, 0, 0}, "from the left"}, {{0, -1, 0}, "from the front"}, {{0, 1, 0}, "from the back"}};
  for (const auto& k : known)
    if (length(unit(leaving) - k.from) < kSameDirection) return k.words;
  const Vec3 d = -unit(leaving);
  return fmt::format("along ({}, {}, {})", number(d.x, 2), number(d.y, 2), number(d.z, 2));
}

}  // namespace handlot::shapes
