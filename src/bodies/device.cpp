#include "bodies/device.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <sstream>
#include <variant>

#include "bodies/solid_text.h"
#include "bodies/step_size.h"
#include "core/text.h"
#include "geometry/device.h"
#include "geometry/step.h"

namespace handlot::bodies {

shapes::Placement placed(const job::Placement& p) {
  return shapes::placed_at({p.at_mm[0], p.at_mm[1], p.at_mm[2]}, Degrees(p.turn_deg[0]), Degrees(p.turn_deg[1]), Degrees(p.turn_deg[2]));
}

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

/// The solid of a card: described, read from a file, absent, or not to be had.
struct Origin {
  std::optional<std::variant<shapes::SolidTree, Solid>> solid;
  std::optional<Diagnostic> broken;
};

class Builder {
 public:
  Builder(const job::Job& job, const catalogue::Catalogue& cards, const DeviceLimits& limits, const shapes::Cache& cache)
      : job_(job), cards_(cards), limits_(limits), cache_(cache) {}

  Result<Device> run() {
    for (const job::Part& part : job_.parts) {
      if (!part.jig) plan(part);
    }
    if (!faults_.empty()) return fail(std::move(faults_));
    make();
    std::sort(device_.not_modelled.begin(), device_.not_modelled.end());
    declare();
    group();
    device_.scene = std::make_shared<shapes::Scene>(device_.assembly);
    return std::move(device_);
  }

 private:
  void plan(const job::Part& part) {
    const Origin& origin = origin_of(part);
    if (origin.broken && !part.places.empty()) {
      device_.left_out.push_back({part.id, *origin.broken});
    } else if (!origin.solid || part.places.empty()) {
      device_.not_modelled.push_back(part.id);
    } else {
      for (std::size_t i = 0; i < part.places.size(); ++i) plan_body(part, i, *origin.solid);
    }
  }

  /// Equal cards share one.
  const Origin& origin_of(const job::Part& part) {
    const auto known = origins_.find(part.card);
    if (known != origins_.end()) return known->second;
    const catalogue::Card& card = *cards_.find(part.card);
    return origins_.emplace(part.card, card.words.contains("step-file") ? from_step(card) : from_text(card)).first->second;
  }

  Origin from_text(const catalogue::Card& card) {
    const auto tree = body_of(card);
    if (!tree) faults_.insert(faults_.end(), tree.error().begin(), tree.error().end());
    if (!tree || !*tree) return {};
    if (auto doubt = of_another_size(card, **tree)) return broken(std::move(*doubt));
    return {**tree, {}};
  }

  /// A drawn solid that is on all sides far from the sizes beside it: one of the two is in another unit.
  std::optional<Diagnostic> of_another_size(const catalogue::Card& card, const shapes::SolidTree& tree) const {
    if (card.solid.empty()) return std::nullopt;
    const auto solid = geometry::make_solid(tree, {}, cache_);
    if (!solid) return std::nullopt;  // said where it is made
    const shapes::Vec3 size = shapes::box_of(*solid->mesh()).size();
    if (size_agrees(card, size).value_or(true)) return std::nullopt;
    return error("solid-size-doubtful", card.place, fmt::format("its <solid> is {} x {} x {} mm, and {}", number(size.x, 2), number(size.y, 2), number(size.z, 2), sizes_of(card)), "write the <solid> in mm, or correct the sizes of the card");
  }

  /// Given    the card states all three.
  static std::string sizes_of(const catalogue::Card& card) {
    const auto side = [&](const char* name) { return number(card.get<Millimetres>(name)->high.value, 2); };
    return fmt::format("its card has a length of {}, a width of {} and a height of {} mm", side("length"), side("width"), side("height"));
  }

  static Origin broken(Diagnostic why) { return {std::nullopt, std::move(why)}; }

  Origin from_step(const catalogue::Card& card) {
    const std::string name = card.word_or("step-file");
    if (fs::path(name).is_absolute() || name.find("..") != std::string::npos) {
      return broken(error("file-outside", card.place, fmt::format("'{}' lies outside the card's folder", name), "put the file beside the card"));
    }
    geometry::StepLimits limits;
    limits.seconds = static_cast<int>(std::ceil(limits_.step_seconds));
    limits.memory_mb = static_cast<int>(limits_.step_megabytes);
    limits.program = limits_.step_program;
    const auto model = geometry::read_step((fs::path(card.place.file).parent_path() / name).string(), limits, {}, cache_);
    if (!model) {
      Diagnostic first = model.error().front();
      first.notes.push_back({card.place, "asked for by this card"});
      return broken(std::move(first));
    }
    const Diagnostic* doubt = nullptr;
    for (const Diagnostic& w : model->warnings) {
      if (w.code == "step-unit-doubtful") doubt = &w;
      else device_.notes.push_back(fmt::format("{}: {}", name, w.text));
    }
    geometry::WantedSolid wanted;
    wanted.name = card.word_or("step-solid", card.name);
    const auto matched = geometry::match(*model, {wanted});
    if (matched.empty() || !matched.front().solid) {
      if (model->solids.size() == 1) return of_right_size(card, model->shapes[model->solids.front().shape], *model, doubt);
      std::vector<std::string> names;
      for (const auto& s : model->solids) names.push_back(s.name);
      return broken(error("step-solid-unknown", card.place, fmt::format("'{}' has no solid '{}'", name, wanted.name), fmt::format("write step-solid as one of: {}", fmt::join(names, ", "))));
    }
    if (!matched.front().text.empty()) device_.notes.push_back(matched.front().text);
    return of_right_size(card, model->shapes[model->solids[*matched.front().solid].shape], *model, doubt);
  }

  /// The card knows the true size; without it, what the reader doubts is not built either.
  static Origin of_right_size(const catalogue::Card& card, const Solid& solid, const geometry::StepModel& model, const Diagnostic* doubt) {
    const std::string file = (fs::path(card.place.file).parent_path() / card.word_or("step-file")).string();
    const shapes::Vec3 size = shapes::box_of(*solid.mesh()).size();
    const auto agrees = size_agrees(card, size);
    if (agrees.value_or(doubt == nullptr)) return {solid, {}};
    if (!agrees) return broken(error("step-unit-doubtful", {file, 0, 0}, doubt->text, doubt->mend));
    return broken(error("step-unit-doubtful", {file, 0, 0},
                        fmt::format("the file says {}, which makes it {} x {} x {} mm, and {}", model.unit.empty() ? "no unit" : model.unit, number(size.x, 2), number(size.y, 2), number(size.z, 2), sizes_of(card)),
                        "export it again in the unit that it was drawn in, or correct the sizes of the card"));
  }

  void plan_body(const job::Part& part, std::size_t which, const std::variant<shapes::SolidTree, Solid>& solid) {
    const catalogue::Card& card = *cards_.find(part.card);
    geometry::PlannedPart body;
    body.id = PartId(part.places.size() == 1 ? part.id.text : fmt::format("{}#{}", part.id.text, which + 1));
    body.name = part.name.empty() ? card.name : part.name;
    body.solid = solid;
    body.at = placed(part.places[which]);
    body.fastener = card.kind == catalogue::CardKind::screw;
    if (const shapes::Vec3 along = axis_of(part.insert_along); !part.insert_along.empty() && shapes::length(along) > 0) body.insert_along = {along};
    if (const auto mass = card.get<Grams>("mass")) {
      body.mass = mass->high;
    } else if (const catalogue::Card* material = cards_.find(CardId(card.word_or("material")))) {
      if (const auto density = material->get<GramsPerCubicCentimetre>("density")) body.density = density->low;
    }
    owner_[body.id] = part.id;
    planned_.parts.push_back(std::move(body));
  }

  /// The kernel's turn: what it can't make is named once for its part.
  void make() {
    geometry::Device made = geometry::make_device(planned_, {}, cache_);
    for (const geometry::LeftOut& out : made.left_out) {
      const PartId part = owner_.at(out.part);
      if (!device_.left_out.empty() && device_.left_out.back().part == part) continue;
      Diagnostic why = out.why.front();
      if (why.place.file.empty()) why.place = cards_.find(job_.part(part)->card)->place;
      device_.left_out.push_back({part, std::move(why)});
    }
    device_.assembly = std::move(made.assembly);
    device_.solids = std::move(made.solids);
    for (const shapes::Part& body : device_.assembly.parts) {
      device_.bodies_of[owner_.at(body.id)].push_back(device_.part_of.size());
      device_.part_of.push_back(owner_.at(body.id));
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

  /// The inserts and nuts that were set into what a screw goes into "by insert" or "by nut": their thread is what it shares.
  std::vector<PartId> bushes_for(const job::Part& screw) const {
    std::vector<PartId> bushes;
    if (screw.into_kind != "insert" && screw.into_kind != "nut") return bushes;
    for (const job::Part& other : job_.parts) {
      if (other.id != screw.id && other.into == screw.into && cards_.find(other.card)->kind == catalogue::CardKind::part && !cards_.find(other.card)->word_or("thread").empty()) bushes.push_back(other.id);
    }
    return bushes;
  }

  void declare() {
    for (const job::Part& part : job_.parts) {
      for (const PartId& other : part.presses) declare_all(part.id, other, shapes::Declared::Kind::press_fit);
      for (const PartId& other : part.meshes) declare_all(part.id, other, shapes::Declared::Kind::gears);
      if (!part.into.empty()) declare_all(part.id, part.into, shapes::Declared::Kind::thread);
      for (const PartId& bush : bushes_for(part)) declare_all(part.id, bush, shapes::Declared::Kind::thread);
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
  std::map<CardId, Origin> origins_;
  geometry::PlannedDevice planned_;
  std::map<PartId, PartId> owner_;  ///< body to part
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

namespace {

constexpr double kMeets = 0.6;  // mm; faces further apart have no film of glue between them
constexpr Millimetres kHair(1e-6);

/// Area and widest gap over all bodies of both; area 0 where they do not face each other.
struct BondFaces {
  SquareMillimetres area;
  Millimetres gap;
};

BondFaces faces_between(const Device& device, const std::vector<std::size_t>& one, const std::vector<std::size_t>& other, Millimetres within) {
  BondFaces found;
  for (std::size_t a : one) {
    for (std::size_t b : other) {
      const auto contact = geometry::contact(*device.scene, device.solids, a, b, within);
      if (!contact || contact->faces == 0) continue;
      found.area += contact->area;
      found.gap = std::max(found.gap, contact->most_gap);
    }
  }
  return found;
}

/// Of the nearest two bodies; nothing where that could not be measured.
std::optional<Millimetres> least_apart(const Device& device, const std::vector<std::size_t>& one, const std::vector<std::size_t>& other) {
  std::optional<Millimetres> least;
  for (std::size_t a : one) {
    for (std::size_t b : other) {
      const auto clear = geometry::clearance(*device.scene, device.solids, a, b);
      if (!clear) return std::nullopt;
      if (!least || clear->gap < *least) least = clear->gap;
    }
  }
  return least;
}

/// Parts without faces opposite each other: those that meet in a line or a point have no film; those that nowhere meet have a gap as wide
/// as they stand apart.
BondFaces faces_or_apart(const Device& device, const std::vector<std::size_t>& one, const std::vector<std::size_t>& other) {
  constexpr Millimetres kFacing(kMeets);
  constexpr Millimetres kFilled(5), kAlike(0.05);  // wider ones are no bond line whose area counts
  const BondFaces film = faces_between(device, one, other, kFacing);
  if (film.area.value > 0) return film;
  const auto apart = least_apart(device, one, other);
  if (!apart || *apart <= kFacing + kHair) return film;
  BondFaces wide;
  if (*apart <= kFilled) wide = faces_between(device, one, other, *apart + kAlike);
  wide.gap = std::max(wide.gap, *apart);
  return wide;
}

BondFaces faces_kept(const Device& device, const job::Joint& joint, const std::vector<std::size_t>& one, const std::vector<std::size_t>& other, const shapes::Cache& cache) {
  const std::string key = shapes::content_key(fmt::format("bond 2 {} {} {}", device.key, joint.between[0].text, joint.between[1].text));
  BondFaces found;
  if (const auto kept = cache.get("bond", key)) {
    std::istringstream stream(*kept);
    if (stream >> found.area.value >> found.gap.value) return found;
  }
  found = faces_or_apart(device, one, other);
  cache.put("bond", key, fmt::format("{} {}", found.area.value, found.gap.value));
  return found;
}

/// What is cast round its parts goes by its depth, and where a part is not drawn, it may be what fills the gap.
bool may_stand_apart(const Device& device, const job::Job& job, const job::Joint& joint) {
  const auto holds_it = [&](const job::Step& step) { return std::find(step.bonds.begin(), step.bonds.end(), joint.id) != step.bonds.end(); };
  const bool cast = joint.depth || std::any_of(job.steps.begin(), job.steps.end(), [&](const job::Step& step) { return step.process.text == "pot" && holds_it(step); });
  return cast || std::any_of(joint.between.begin(), joint.between.end(), [&](const PartId& id) {
    const std::vector<PartId> inside = job.within(id);
    return std::any_of(inside.begin(), inside.end(), [&](const PartId& part) { return !device.bodies_of.contains(part); });
  });
}

}  // namespace

void measure_bonds(const Device& device, job::Job& job, const shapes::Cache& cache) {
  if (device.empty()) return;
  for (job::Joint& joint : job.joints) {
    if ((joint.area && joint.gap) || joint.between.size() != 2) continue;
    const auto one = device.set_of(job.within(joint.between[0])).list(), other = device.set_of(job.within(joint.between[1])).list();
    const BondFaces found = faces_kept(device, joint, one, other, cache);
    const bool faces = found.area.value > 0, apart = found.gap > Millimetres(kMeets) + kHair;
    if (apart ? may_stand_apart(device, job, joint) : !faces) continue;
    joint.area_from_shapes = !joint.area && faces;
    joint.gap_from_shapes = !joint.gap;
    if (joint.area_from_shapes) joint.area = found.area;
    if (!joint.gap) joint.gap = found.gap;
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
