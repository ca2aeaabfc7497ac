// Parts do not share space, and what is serviceable comes out again.
#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/shape_facts.h"
#include "shapes/order.h"

namespace handlot::rules {

namespace {

/// A seal is drawn free and squeezed by up to a third of its height where it lies, which is a third of its volume: that is what
/// it is for [practice].
bool squeezed(const Facts& facts, const geometry::Overlap& o) {
  const bodies::Device& d = *facts.device;
  const auto seal = [&](std::size_t body) { return gives(facts, d.part_of[body]) && o.volume.value <= 0.35 * d.solids[body].amounts().volume.value; };
  return o.kind == geometry::Overlap::Kind::overlap && (seal(o.a) || seal(o.b));
}

/// What is drawn free and lies squeezed, by more than it bears, in the words of seals; empty: neither gives.
std::string too_much_squeezed(const Facts& facts, const geometry::Overlap& o) {
  const bodies::Device& d = *facts.device;
  if (o.kind != geometry::Overlap::Kind::overlap || gives(facts, d.part_of[o.a]) == gives(facts, d.part_of[o.b])) return "";
  const bool first = gives(facts, d.part_of[o.a]);
  const std::size_t seal = first ? o.a : o.b, other = first ? o.b : o.a;
  const shapes::Vec3 size = d.scene->body(seal).box.size();
  const double free = std::min({size.x, size.y, size.z}), left = free - o.depth.value;
  const double share = 100 * o.volume.value / d.solids[seal].amounts().volume.value;
  const std::string by = fmt::format("{} is squeezed by {}", facts.name(d.part_of[seal]), facts.name(d.part_of[other]));
  if (o.depth.value > 0 && left > 0) return fmt::format("{} from {} to {} mm, {} % of it, and a third is what a seal bears", by, number(free, 2), number(left, 2), number(share, 0));
  return fmt::format("{} out of {} % of its room, and a third is what a seal bears", by, number(share, 0));
}

/// Of the two, is one a screw and the other what it clamps?
bool bites(const Facts& facts, const PartId& a, const PartId& b) {
  const auto clamps = [&](const PartId& screw, const PartId& other) {
    const job::Part* part = facts.job.part(screw);
    return facts.card_of(screw).kind == catalogue::CardKind::screw && std::any_of(part->clamps.begin(), part->clamps.end(), [&](const PartId& id) { return same_or_within(facts, other, id); });
  };
  return clamps(a, b) || clamps(b, a);
}

/// Four screws that meet one plate are one mistake: the first pair is told, and how many more there are.
std::vector<plan::Finding> overlaps(const Facts& facts) {
  std::vector<plan::Finding> all;
  const bodies::Device& d = *facts.device;
  const geometry::Interference found = geometry::interference(*d.scene, d.solids, {}, facts.shape_cache);
  std::vector<std::pair<const geometry::Overlap*, int>> told;  // with how many more
  for (const geometry::Overlap& o : found.overlaps) {
    if (o.kind != geometry::Overlap::Kind::overlap && o.kind != geometry::Overlap::Kind::within) continue;
    if (squeezed(facts, o)) continue;
    const auto same = std::find_if(told.begin(), told.end(), [&](const auto& other) {
      return other.first->kind == o.kind && d.part_of[other.first->a] == d.part_of[o.a] && d.part_of[other.first->b] == d.part_of[o.b];
    });
    if (same == told.end()) told.push_back({&o, 0});
    else ++same->second;
  }
  for (const auto& [first, more] : told) {
    const geometry::Overlap& o = *first;
    const std::string seal = too_much_squeezed(facts, o);
    const std::string text = (seal.empty() ? geometry::say(*d.scene, o) : seal) + (more == 0 ? "" : fmt::format("; {} of these parts too", counted(more, "more pair", "more pairs")));
    all.push_back(about_parts("no-overlap", plan::Severity::stop, {d.part_of[o.a], d.part_of[o.b]}, text,
                              !seal.empty() ? "give it more room, or take a thinner one"
                              : bites(facts, d.part_of[o.a], d.part_of[o.b]) ? "drill the hole in what the screw clamps wider than the screw: as it is, the screw bites there too and draws nothing together"
                                                                           : "move or change one of them; if it is a press fit, a thread or a pair of gears, declare it (presses, into, meshes)",
                              facts.job.part(d.part_of[o.a])->place));
  }
  for (const auto& [a, b] : found.not_checked) {
    all.push_back(about_parts("no-overlap", plan::Severity::undecided, {d.part_of[a], d.part_of[b]},
                              fmt::format("{} and {} were not checked for overlap: too many pairs", facts.name(d.part_of[a]), facts.name(d.part_of[b])), "simplify the shapes", {}));
  }
  return all;
}

}  // namespace

void no_overlap(const Facts& facts, Yield& yield) {
  if (facts.device == nullptr || facts.device->empty()) return;
  std::string what = "overlap 5";
  for (const job::Part& part : facts.job.parts) what += gives(facts, part.id) ? " " + part.id.text : "";
  for (const job::Part& part : facts.job.parts) {
    for (const PartId& id : part.clamps) what += fmt::format(" {}<{}", id.text, part.id.text);
  }
  const auto found = kept_or_found(facts, what, [&] { return overlaps(facts); });
  yield.findings.insert(yield.findings.end(), found.begin(), found.end());
}

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
  if (facts.device == nullptr) return;
  for (const bodies::Device::LeftOut& out : facts.device->left_out) {
    yield.findings.push_back(about_parts("not-modelled", plan::Severity::undecided, {out.part}, fmt::format("{} is left out of every check by shape: {}", facts.name(out.part), out.why.text), out.why.mend, out.why.place));
  }
  if (facts.device->empty()) return;
  const bodies::Device& d = *facts.device;
  std::vector<PartId> bare = d.not_modelled;
  // A cable is checked along its way and needs no body for that.
  std::erase_if(bare, [&](const PartId& id) {
    return std::any_of(facts.job.cables.begin(), facts.job.cables.end(), [&](const job::Cable& c) { return c.part == id && c.way.size() > 1; });
  });
  if (!bare.empty()) {
    std::vector<std::string> names;
    for (const PartId& id : bare) names.push_back(id.text);
    yield.findings.push_back(about_parts("not-modelled", plan::Severity::note, bare, fmt::format("not checked by shape, because place or body is missing: {}", listed(names)),
                                         "give the part a place in the job (at=...) and its card a <solid>", {facts.job.file, 0, 0}));
  }
  for (const std::string& note : d.notes) yield.findings.push_back(about_parts("not-modelled", plan::Severity::note, {}, note, "", {facts.job.file, 0, 0}));
}

}  // namespace handlot::rules
