#include "bodies/device.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <sstream>

#include "bodies/solid_text.h"
#include "geometry/step.h"

namespace handlot::bodies {

namespace fs = std::filesystem;
using geometry::Solid;

namespace {

shapes::Vec3 axis_of(const std::string& text) {
  if (text == "x" || text == "+x") return {1, 0, 0};
  if (text == "-x") return {-1, 0, 0};
  if (text == "y" || text == "+y") return {0, 1, 0};
  if (text == "-y") return {0, -1, 0};
  if (text == "z" || text == "+z") return {0, 0, 1};
  if (text == "-z") return {0, 0, -1};
  if (const auto v = three(text + " mm", "mm"); v && shapes::length(*v) > 1e-9) return shapes::unit(*v);
  return {0, 0, 0};
}

class Builder {
 public:
  Builder(const job::Job& job, const catalogue::Catalogue& cards, const DeviceLimits& limits, const shapes::Cache& cache)
      : job_(job), cards_(cards), limits_(limits), cache_(cache) {}

  Result<Device> run() {
    for (const job::Part& part : job_.parts) {
      if (part.jig) continue;
      const auto solid = solid_of(part);
      if (!solid || part.places.empty()) {
        device_.not_modelled.push_back(part.id);
        continue;
      }
      add(part, *solid);
    }
    if (!faults_.empty()) return fail(std::move(faults_));
    std::sort(device_.not_modelled.begin(), device_.not_modelled.end());
    declare();
    group();
    device_.scene = std::make_shared<shapes::Scene>(device_.assembly);
    return std::move(device_);
  }

 private:
  /// The solid of the part's card; equal cards share one.
  std::optional<Solid> solid_of(const job::Part& part) {
    const auto known = solids_.find(part.card);
    if (known != solids_.end()) return known->second;
    const catalogue::Card& card = *cards_.find(part.card);
    std::optional<Solid> solid = card.words.contains("step-file") ? from_step(card) : from_text(card);
    solids_.emplace(part.card, solid);
    return solid;
  }

  std::optional<Solid> from_text(const catalogue::Card& card) {
    const auto tree = body_of(card);
    if (!tree) {
      faults_.insert(faults_.end(), tree.error().begin(), tree.error().end());
      return std::nullopt;
    }
    if (!*tree) return std::nullopt;
    auto solid = geometry::make_solid(**tree, {}, cache_);
    if (solid) return *solid;
    for (Diagnostic d : solid.error()) {
      if (d.place.file.empty()) d.place = card.place;
      faults_.push_back(std::move(d));
    }
    return std::nullopt;
  }

  std::optional<Solid> from_step(const catalogue::Card& card) {
    const std::string name = card.word_or("step-file");
    if (fs::path(name).is_absolute() || name.find("..") != std::string::npos) {
      faults_.push_back(error("file-outside", card.place, fmt::format("'{}' lies outside the card's folder", name), "put the file beside the card"));
      return std::nullopt;
    }
    geometry::StepLimits limits;
    limits.seconds = static_cast<int>(std::ceil(limits_.step_seconds));
    limits.memory_mb = static_cast<int>(limits_.step_megabytes);
    limits.program = limits_.step_program;
    const auto model = geometry::read_step((fs::path(card.place.file).parent_path() / name).string(), limits, {}, cache_);
    if (!model) {
      for (Diagnostic d : model.error()) {
        d.notes.push_back({card.place, "asked for by this card"});
        faults_.push_back(std::move(d));
      }
      return std::nullopt;
    }
    for (const Diagnostic& w : model->warnings) device_.notes.push_back(fmt::format("{}: {}", name, w.text));
    geometry::WantedSolid wanted;
    wanted.name = card.word_or("step-solid", card.name);
    const auto matched = geometry::match(*model, {wanted});
    if (matched.empty() || !matched.front().solid) {
      if (model->solids.size() == 1) return model->shapes[model->solids.front().shape];
      std::vector<std::string> names;
      for (const auto& s : model->solids) names.push_back(s.name);
      faults_.push_back(error("step-solid-unknown", card.place, fmt::format("'{}' has no solid '{}'", name, wanted.name), fmt::format("write step-solid as one of: {}", fmt::join(names, ", "))));
      return std::nullopt;
    }
    if (!matched.front().text.empty()) device_.notes.push_back(matched.front().text);
    return model->shapes[model->solids[*matched.front().solid].shape];
  }

  void add(const job::Part& part, const Solid& solid) {
    const catalogue::Card& card = *cards_.find(part.card);
    for (std::size_t i = 0; i < part.places.size(); ++i) {
      const job::Placement& p = part.places[i];
      const shapes::Placement at = shapes::placed_at({p.at_mm[0], p.at_mm[1], p.at_mm[2]}, Degrees(p.turn_deg[0]), Degrees(p.turn_deg[1]), Degrees(p.turn_deg[2]));
      const PartId id(part.places.size() == 1 ? part.id.text : fmt::format("{}#{}", part.id.text, i + 1));
      shapes::Part body = geometry::part(id, part.name.empty() ? card.name : part.name, solid, at);
      body.fastener = card.kind == catalogue::CardKind::screw;
      if (const shapes::Vec3 along = axis_of(part.insert_along); !part.insert_along.empty() && shapes::length(along) > 0) body.insert_along = {along};
      if (const auto mass = card.get<Grams>("mass")) {
        body.mass = mass->high;
      } else if (const catalogue::Card* material = cards_.find(CardId(card.word_or("material")))) {
        if (const auto density = material->get<GramsPerCubicCentimetre>("density")) body.mass = shapes::mass(solid.amounts().volume, density->low);
      }
      device_.bodies_of[part.id].push_back(device_.part_of.size());
      device_.part_of.push_back(part.id);
      device_.solids.push_back(solid);
      device_.assembly.parts.push_back(std::move(body));
    }
  }

  void declare_all(const PartId& a, const PartId& b, shapes::Declared::Kind kind) {
    const auto bodies = [&](const PartId& id) {
      const auto found = device_.bodies_of.find(id);
      return found == device_.bodies_of.end() ? std::vector<std::size_t>() : found->second;
    };
    for (const PartId& inside : job_.within(b)) {
      for (std::size_t i : bodies(a)) {
        for (std::size_t j : bodies(inside)) device_.assembly.declared.push_back({kind, device_.assembly.parts[i].id, device_.assembly.parts[j].id});
      }
    }
  }

  void declare() {
    for (const job::Part& part : job_.parts) {
      for (const PartId& other : part.presses) declare_all(part.id, other, shapes::Declared::Kind::press_fit);
      for (const PartId& other : part.meshes) declare_all(part.id, other, shapes::Declared::Kind::gears);
      if (!part.into.empty()) declare_all(part.id, part.into, shapes::Declared::Kind::thread);
    }
    for (const job::Joint& joint : job_.joints) {
      for (std::size_t i = 0; i < joint.between.size(); ++i) {
        for (std::size_t k = i + 1; k < joint.between.size(); ++k) {
          for (const PartId& a : job_.within(joint.between[i])) declare_all(a, joint.between[k], shapes::Declared::Kind::bond);
        }
      }
    }
  }

  void group() {
    for (const job::Assembly& a : job_.assemblies) {
      shapes::Subassembly sub;
      sub.id = a.id.text;
      for (const PartId& id : job_.within(a.id)) {
        const auto found = device_.bodies_of.find(id);
        if (found == device_.bodies_of.end()) continue;
        for (std::size_t i : found->second) sub.parts.push_back(device_.assembly.parts[i].id);
      }
      if (sub.parts.size() > 1) device_.assembly.subassemblies.push_back(std::move(sub));
    }
  }

  const job::Job& job_;
  const catalogue::Catalogue& cards_;
  const DeviceLimits& limits_;
  const shapes::Cache& cache_;
  Device device_;
  Diagnostics faults_;
  std::map<CardId, std::optional<Solid>> solids_;
};

/// All that shapes can tell depends on: bodies, places, what was declared.
std::string key_of(const shapes::Assembly& assembly) {
  std::string text;
  for (const shapes::Part& p : assembly.parts) {
    text += fmt::format("{} {} {} {} {} {} {}", p.id.text, p.shape, p.at.shift.x, p.at.shift.y, p.at.shift.z, fmt::join(p.at.turn, " "), p.fastener);
    for (const shapes::Vec3& d : p.insert_along) text += fmt::format(" along {} {} {}", d.x, d.y, d.z);
    text += '\n';
  }
  for (const shapes::Declared& d : assembly.declared) text += fmt::format("{} {} {}\n", static_cast<int>(d.kind), d.a.text, d.b.text);
  return shapes::content_key(text);
}

/// The table as bytes: directions, then for each direction and part its blockers.
std::string to_bytes(const shapes::Blocking& table) {
  std::string text;
  for (const shapes::Vec3& d : table.directions()) text += fmt::format("d {} {} {}\n", d.x, d.y, d.z);
  for (std::size_t d = 0; d < table.directions().size(); ++d) {
    for (std::size_t p = 0; p < table.parts(); ++p) {
      for (std::size_t b : table.blockers(d, p).list()) text += fmt::format("b {} {} {}\n", d, p, b);
    }
  }
  return text;
}

std::optional<shapes::Blocking> blocking_from(const std::string& bytes, std::size_t parts) {
  std::istringstream stream(bytes);
  std::vector<shapes::Vec3> directions;
  std::vector<std::array<std::size_t, 3>> rows;
  for (std::string kind; stream >> kind;) {
    if (kind == "d") {
      shapes::Vec3 v;
      if (!(stream >> v.x >> v.y >> v.z)) return std::nullopt;
      directions.push_back(v);
    } else {
      std::array<std::size_t, 3> row{};
      if (!(stream >> row[0] >> row[1] >> row[2]) || row[0] >= directions.size() || row[1] >= parts || row[2] >= parts) return std::nullopt;
      rows.push_back(row);
    }
  }
  if (directions.empty()) return std::nullopt;
  shapes::Blocking table(std::move(directions), parts);
  for (const auto& [d, p, b] : rows) table.add(d, p, b);
  return table;
}

}  // namespace

void measure_bonds(const Device& device, job::Job& job) {
  if (device.empty()) return;
  constexpr Millimetres kFacing(0.6);  // wider gaps are no bond line
  for (job::Joint& joint : job.joints) {
    if ((joint.area && joint.gap) || joint.between.size() != 2) continue;
    const auto one = device.bodies_of.find(joint.between[0]), other = device.bodies_of.find(joint.between[1]);
    if (one == device.bodies_of.end() || other == device.bodies_of.end()) continue;
    SquareMillimetres area;
    Millimetres gap;
    for (std::size_t a : one->second) {
      for (std::size_t b : other->second) {
        const auto contact = geometry::contact(*device.scene, device.solids, a, b, kFacing);
        if (!contact || contact->faces == 0) continue;
        area += contact->area;
        gap = std::max(gap, contact->most_gap);
      }
    }
    if (area.value <= 0) continue;
    if (!joint.area) joint.area = area;
    if (!joint.gap) joint.gap = gap;
  }
}

shapes::PartSet Device::set_of(const std::vector<PartId>& parts) const {
  shapes::PartSet set(part_of.size());
  for (const PartId& id : parts) {
    const auto found = bodies_of.find(id);
    if (found == bodies_of.end()) continue;
    for (std::size_t i : found->second) set.add(i);
  }
  return set;
}

Result<Device> make_device(const job::Job& job, const catalogue::Catalogue& cards, const DeviceLimits& limits, const shapes::Cache& cache) {
  auto device = Builder(job, cards, limits, cache).run();
  if (!device || device->empty()) return device;
  device->key = key_of(device->assembly);
  if (const auto kept = cache.get("blocking", device->key)) {
    if (auto table = blocking_from(*kept, device->part_of.size())) device->blocking = std::make_shared<shapes::Blocking>(std::move(*table));
  }
  if (!device->blocking) {
    const auto directions = shapes::candidate_directions(*device->scene);
    device->blocking = std::make_shared<shapes::Blocking>(shapes::blocking(*device->scene, directions));
    cache.put("blocking", device->key, to_bytes(*device->blocking));
  }
  return device;
}

}  // namespace handlot::bodies
