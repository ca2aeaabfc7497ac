#include "shapes/assembly.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "shapes/distance.h"

namespace handlot::shapes {

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
  const auto it = std::lower_bound(declared_.begin(), declared_.end(), key,
                                   [](const auto& entry, const auto& wanted) { return entry.first < wanted; });
  if (it == declared_.end() || it->first != key) return std::nullopt;
  return it->second;
}

std::string Scene::say(std::size_t part) const {
  const Part& p = parts_[part];
  const std::string& name = p.name.empty() ? p.id.text : p.name;
  const auto same = std::count_if(parts_.begin(), parts_.end(), [&](const Part& o) { return o.name == p.name; });
  if (p.name.empty() || same == 1 || p.name == p.id.text) return "the " + name;
  return fmt::format("the {} ({})", name, p.id.text);
}

const TriangleTree& Scene::tree(std::size_t part) const {
  if (!trees_[part]) trees_[part] = std::make_unique<TriangleTree>(bodies_[part]);
  return *trees_[part];
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
