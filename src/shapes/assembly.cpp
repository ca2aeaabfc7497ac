#include "shapes/assembly.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "shapes/distance.h"
#include "shapes/hidden_lines.h"

namespace handlot::shapes {

namespace {

/// The axis of a pin of one part in a hole of the other.
std::optional<Vec3> common_axis(const Part& a, const Part& b) {
  for (const Surface& fa : a.mesh->faces)
    for (const Surface& fb : b.mesh->faces) {
      if (fa.kind != Surface::Kind::cylinder || fb.kind != Surface::Kind::cylinder || fa.hollow == fb.hollow)
        continue;
      const Vec3 axis = a.at.direction(fa.axis), other = b.at.direction(fb.axis);
      const Vec3 between = b.at.point(fb.point) - a.at.point(fa.point);
      if (length(cross(axis, other)) < 1e-3 && length(between - axis * dot(between, axis)) < 0.05)
        return axis;
    }
  return std::nullopt;
}

}  // namespace

Scene::Scene(const Assembly& assembly) : parts_(assembly.parts), trees_(assembly.parts.size()) {
  for (const Part& part : parts_) {
    Body body;
    body.mesh = part.mesh.get();
    body.vertices.reserve(part.mesh->vertices.size());
    for (const Vec3& v : part.mesh->vertices) {
      body.vertices.push_back(part.at.point(v));
      body.box.add(body.vertices.back());
    }
    deflection_ = std::max(deflection_, part.mesh->deflection);
    box_.add(body.box);
    bodies_.push_back(std::move(body));
  }
  for (const Declared& d : assembly.declared) {
    const auto a = find(d.a);
    const auto b = find(d.b);
    if (a && b) declared_.push_back({{std::min(*a, *b), std::max(*a, *b)}, d.kind});
  }
  std::sort(declared_.begin(), declared_.end());
  for (const auto& [pair, kind] : declared_)
    if (kind == Declared::Kind::thread || kind == Declared::Kind::press_fit)
      if (const auto axis = common_axis(parts_[pair.first], parts_[pair.second]))
        axes_.push_back({pair, *axis});
  for (const Subassembly& s : assembly.subassemblies) {
    Group group{s.id, {}};
    for (const PartId& id : s.parts)
      if (const auto part = find(id)) group.parts.push_back(*part);
    if (group.parts.size() > 1) groups_.push_back(std::move(group));
  }
}

Scene::~Scene() = default;
Scene::Scene(Scene&&) noexcept = default;
Scene& Scene::operator=(Scene&&) noexcept = default;

std::optional<std::size_t> Scene::find(const PartId& id) const {
  for (std::size_t i = 0; i < parts_.size(); ++i)
    if (parts_[i].id == id) return i;
  return std::nullopt;
}

std::optional<Declared::Kind> Scene::declared(std::size_t a, std::size_t b) const {
  const std::pair key{std::min(a, b), std::max(a, b)};
  const auto it =
      std::lower_bound(declared_.begin(), declared_.end(), key,
                       [](const auto& entry, const auto& wanted) { return entry.first < wanted; });
  if (it == declared_.end() || it->first != key) return std::nullopt;
  return it->second;
}

std::optional<Vec3> Scene::joint_axis(std::size_t a, std::size_t b) const {
  const std::pair key{std::min(a, b), std::max(a, b)};
  for (const auto& [pair, axis] : axes_)
    if (pair == key) return axis;
  return std::nullopt;
}

std::string Scene::say(std::size_t part) const {
  const Part& p = parts_[part];
  const std::string& name = p.name.empty() ? p.id.text : p.name;
  const auto same =
      std::count_if(parts_.begin(), parts_.end(), [&](const Part& o) { return o.name == p.name; });
  if (p.name.empty() || same == 1 || p.name == p.id.text) return "the " + name;
  return fmt::format("the {} ({})", name, p.id.text);
}

const TriangleTree& Scene::tree(std::size_t part) const {
  if (!trees_[part]) trees_[part] = std::make_unique<TriangleTree>(bodies_[part]);
  return *trees_[part];
}

const std::vector<MeshEdge>& Scene::edges(std::size_t part) const {
  const Mesh* mesh = bodies_[part].mesh;
  auto known = edges_.find(mesh);
  if (known == edges_.end()) known = edges_.emplace(mesh, edges_of(*mesh)).first;
  return known->second;
}

Weight weight(const Assembly& assembly, const std::vector<PartId>& installed) {
  Weight found;
  Vec3 moment;
  for (const Part& part : assembly.parts) {
    if (std::find(installed.begin(), installed.end(), part.id) == installed.end()) continue;
    if (part.mass.value <= 0) {
      found.without_mass.push_back(part.id);
      continue;
    }
    found.mass += part.mass;
    moment += part.at.point(amounts(*part.mesh).centre) * part.mass.value;
  }
  if (found.mass.value > 0) found.centre = moment * (1 / found.mass.value);
  return found;
}

}  // namespace handlot::shapes
