// Parts do not share space, moving parts keep clear, and what is serviceable comes out again.
#include <fmt/format.h>

#include <algorithm>

#include "bodies/device.h"
#include "bodies/solid_text.h"
#include "core/text.h"
#include "rules/kept_findings.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "shapes/motion.h"
#include "shapes/order.h"

namespace handlot::rules {

namespace {

const Source kShapes{"", "the shapes of the parts", Standing::measured};

plan::Finding about_parts(std::string_view rule, plan::Severity severity, std::vector<PartId> parts, std::string message, std::string mend, Place place) {
  plan::Finding f;
  f.rule = RuleId(std::string(rule));
  f.severity = severity;
  f.parts = std::move(parts);
  f.message = std::move(message);
  f.mend = std::move(mend);
  f.source = kShapes;
  f.place = std::move(place);
  return f;
}

/// Findings kept by content: finding them out costs much more than saying them again.
template <class Find>
std::vector<plan::Finding> kept_or_found(const Facts& facts, const std::string& what, Find find) {
  const std::string key = shapes::content_key(facts.device->key + " " + what);
  if (const auto kept = facts.shape_cache.get("findings", key)) {
    if (auto read = findings_from_bytes(*kept)) return *read;
  }
  std::vector<plan::Finding> found = find();
  facts.shape_cache.put("findings", key, to_bytes(found));
  return found;
}

}  // namespace

namespace {

std::vector<plan::Finding> overlaps(const Facts& facts) {
  std::vector<plan::Finding> all;
  const bodies::Device& d = *facts.device;
  const geometry::Interference found = geometry::interference(*d.scene, d.solids, {}, facts.shape_cache);
  for (const geometry::Overlap& o : found.overlaps) {
    if (o.kind != geometry::Overlap::Kind::overlap && o.kind != geometry::Overlap::Kind::within) continue;
    all.push_back(about_parts("no-overlap", plan::Severity::stop, {d.part_of[o.a], d.part_of[o.b]}, geometry::say(*d.scene, o),
                              "move or change one of them; if it is a press fit, a thread or a pair of gears, declare it (presses, into, meshes)", facts.job.part(d.part_of[o.a])->place));
  }
  for (const auto& [a, b] : found.not_checked) {
    all.push_back(about_parts("no-overlap", plan::Severity::undecided, {d.part_of[a], d.part_of[b]},
                              fmt::format("{} and {} were not checked for overlap: too many pairs", facts.name(d.part_of[a]), facts.name(d.part_of[b])), "simplify the shapes", {}));
  }
  return all;
}

std::vector<plan::Finding> in_its_range(const Facts& facts, const job::Part& part);

}  // namespace

void no_overlap(const Facts& facts, Yield& yield) {
  if (facts.device == nullptr || facts.device->empty()) return;
  const auto found = kept_or_found(facts, "overlap", [&] { return overlaps(facts); });
  yield.findings.insert(yield.findings.end(), found.begin(), found.end());
}

void keeps_clear(const Facts& facts, const job::Part& part, Yield& yield) {
  if (facts.device == nullptr || part.motion.empty() || !facts.device->bodies_of.contains(part.id)) return;
  const std::string what = fmt::format("motion {} {} {} {} {}", part.id.text, part.motion, part.motion_axis, part.motion_from.value_or(0), part.motion_to.value_or(360));
  const auto found = kept_or_found(facts, what, [&] { return in_its_range(facts, part); });
  yield.findings.insert(yield.findings.end(), found.begin(), found.end());
}

namespace {

std::vector<plan::Finding> in_its_range(const Facts& facts, const job::Part& part) {
  std::vector<plan::Finding> all;
  const bodies::Device& d = *facts.device;
  const shapes::Scene& scene = *d.scene;
  const std::size_t body = d.bodies_of.at(part.id).front();
  shapes::PartSet moving(scene.size()), others(scene.size());
  moving.add(body);
  for (std::size_t i = 0; i < scene.size(); ++i) {
    if (i != body && scene.declared(body, i) != shapes::Declared::Kind::press_fit) others.add(i);
  }
  // A shaft in its bearing stands that near on purpose: its gap is the business of a fit.
  constexpr double kBearing = 0.1;  // mm
  for (const auto& [mine, other] : shapes::bearings(scene, moving, others, kBearing)) others.remove(other);
  const job::Placement& at = part.places.front();
  shapes::Vec3 axis = part.motion_axis == "x" ? shapes::Vec3{1, 0, 0} : part.motion_axis == "y" ? shapes::Vec3{0, 1, 0} : shapes::Vec3{0, 0, 1};
  if (const auto v = bodies::three(part.motion_axis + " mm", "mm"); v && shapes::length(*v) > 0) axis = shapes::unit(*v);
  shapes::Clearest nearest;
  if (part.motion == "slide") {
    nearest = shapes::sliding(scene, moving, others, {axis, Millimetres(part.motion_from.value_or(0)), Millimetres(part.motion_to.value_or(0))});
  } else {
    nearest = shapes::turning(scene, moving, others, {{at.at_mm[0], at.at_mm[1], at.at_mm[2]}, axis, Degrees(part.motion_from.value_or(0)), Degrees(part.motion_to.value_or(360))});
  }
  const std::string unit = part.motion == "slide" ? "mm" : "degrees";
  if (nearest.first_contact) {
    all.push_back(about_parts("keeps-clear", plan::Severity::stop, {part.id, d.part_of[nearest.other]},
                                         fmt::format("{} hits {} at {} {}", facts.name(part.id), facts.name(d.part_of[nearest.other]), number(*nearest.first_contact, 1), unit),
                                         "give it room, or shorten its range", part.place));
  } else if (nearest.stopped) {
    all.push_back(about_parts("keeps-clear", plan::Severity::undecided, {part.id}, fmt::format("whether {} keeps clear could not be proven within the limit", facts.name(part.id)), "simplify its shape", part.place));
  } else if (nearest.gap.value < 0.1) {
    all.push_back(about_parts("keeps-clear", plan::Severity::warn, {part.id, d.part_of[nearest.other]},
                                         fmt::format("{} passes {} with {} mm at {} {}", facts.name(part.id), facts.name(d.part_of[nearest.other]), number(nearest.gap.value, 2), number(nearest.at, 1), unit),
                                         "a bench tolerance of 0.1 mm would make them touch: give it more room", part.place));
  }
  return all;
}

}  // namespace

void comes_out_again(const Facts& facts, const job::Part& part, Yield& yield) {
  if (facts.device == nullptr || !part.serviceable || !facts.device->bodies_of.contains(part.id)) return;
  const bodies::Device& d = *facts.device;
  for (std::size_t body : d.bodies_of.at(part.id)) {
    const shapes::Removal out = shapes::take_out(*d.scene, *d.blocking, body);
    if (!out.possible) {
      yield.findings.push_back(about_parts("comes-out-again", plan::Severity::warn, {part.id}, fmt::format("{} is marked serviceable and can't be taken out of the finished unit", facts.name(part.id)),
                                           "open a way to it, or drop serviceable", part.place));
    } else if (!out.breaks.empty()) {
      const auto& [a, b] = out.breaks.front();
      yield.findings.push_back(about_parts("comes-out-again", plan::Severity::warn, {part.id, d.part_of[a], d.part_of[b]},
                                           fmt::format("to take {} out, the bond between {} and {} must be broken", facts.name(part.id), facts.name(d.part_of[a]), facts.name(d.part_of[b])),
                                           "hold them with screws, or drop serviceable", part.place));
    }
  }
}

void not_modelled(const Facts& facts, Yield& yield) {
  if (facts.device == nullptr || facts.device->empty()) return;
  const bodies::Device& d = *facts.device;
  if (!d.not_modelled.empty()) {
    std::vector<std::string> names;
    for (const PartId& id : d.not_modelled) names.push_back(id.text);
    yield.findings.push_back(about_parts("not-modelled", plan::Severity::note, d.not_modelled, fmt::format("not checked by shape, because place or body is missing: {}", listed(names)),
                                         "give the part a place in the job (at=...) and its card a <solid>", {facts.job.file, 0, 0}));
  }
  for (const std::string& note : d.notes) yield.findings.push_back(about_parts("not-modelled", plan::Severity::note, {}, note, "", {facts.job.file, 0, 0}));
}

}  // namespace handlot::rules
