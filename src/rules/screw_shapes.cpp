// What screws clamp, where their heads sit and their tips end, read off the shapes.
#include "rules/screw_shapes.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/text.h"
#include "joints/screws.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/screw_facts.h"
#include "rules/shape_facts.h"
#include "shapes/round_pair.h"

namespace handlot::rules {

std::vector<SeatedScrew> seated(const Facts& facts, const job::Part& screw) {
  std::vector<SeatedScrew> all;
  if (facts.device == nullptr || facts.device->empty()) return all;
  const bodies::Device& d = *facts.device;
  const auto found = d.bodies_of.find(screw.id);
  if (found == d.bodies_of.end()) return all;
  shapes::PartSet everything(d.part_of.size());
  for (std::size_t i = 0; i < d.part_of.size(); ++i) everything.add(i);
  for (std::size_t body : found->second) {
    if (auto sits = shapes::screw_situation(*d.scene, body, everything)) all.push_back({body, std::move(*sits)});
  }
  return all;
}

std::optional<StackFromShapes> stack_from_shapes(const std::vector<SeatedScrew>& screws) {
  std::optional<StackFromShapes> stack;
  for (const SeatedScrew& s : screws) {
    if (!s.sits.threaded) continue;
    std::optional<Millimetres> beyond;
    if (s.sits.room) beyond = std::max(Millimetres(0), s.sits.sticks_out + *s.sits.room);
    const auto thread = std::find_if(s.sits.layers.begin(), s.sits.layers.end(), [](const shapes::Layer& l) { return l.threaded; });
    const bool drawn = thread->hole.value > 0;
    if (!stack) {
      stack = StackFromShapes{s.sits.grip, s.sits.grip, s.sits.thread_depth, drawn, beyond};
      continue;
    }
    stack->drawn = stack->drawn && drawn;
    stack->grip_least = std::min(stack->grip_least, s.sits.grip);
    stack->grip_most = std::max(stack->grip_most, s.sits.grip);
    stack->thread_least = std::min(stack->thread_least, s.sits.thread_depth);
    if (beyond && (!stack->beyond_least || *beyond < *stack->beyond_least)) stack->beyond_least = beyond;
  }
  return stack;
}

namespace {

plan::Finding about_screw(const Facts& facts, std::string_view rule, const job::Part& screw, plan::Severity severity, std::vector<PartId> others, std::string message, std::string mend) {
  others.insert(others.begin(), screw.id);
  plan::Finding f = about_parts(rule, severity, std::move(others), std::move(message), std::move(mend), screw.place);
  if (const job::Step* step = facts.job.installer(screw.id)) f.steps = {step->id};
  return f;
}

/// Parts that the job says it clamps, whole subassemblies taken apart.
std::vector<PartId> clamped_by(const Facts& facts, const job::Part& screw) {
  std::vector<PartId> all;
  for (const PartId& id : screw.clamps) {
    for (const PartId& inside : facts.job.within(id)) all.push_back(inside);
  }
  return all;
}

/// Holes of what it goes into that run its way: those on its axis, and those beside that are drawn for a thread as wide.
struct ThreadHoles {
  bool on_axis = false;
  std::vector<shapes::RoundHole> beside;
};

ThreadHoles thread_holes(const Facts& facts, const job::Part& screw, const SeatedScrew& s, double diameter) {
  constexpr double kOnAxis = 0.3;  // mm: farther off, the screw binds or misses
  ThreadHoles found;
  for (std::size_t body : facts.device->set_of(facts.job.within(screw.into)).list()) {
    for (const shapes::RoundHole& hole : shapes::holes_along(*facts.device->scene, body, s.sits)) {
      if (hole.beside.value <= kOnAxis && hole.below) found.on_axis = true;
      // From under the core of the thread to its outer diameter; wider ones let a screw through.
      if (hole.beside.value > kOnAxis && hole.diameter.value > 0.7 * diameter && hole.diameter.value < 1.02 * diameter) found.beside.push_back(hole);
    }
  }
  return found;
}

/// The nearest of the holes beside that no screw of the job goes into.
std::optional<shapes::RoundHole> free_hole(const Facts& facts, const job::Part& screw, const ThreadHoles& holes) {
  std::optional<shapes::RoundHole> best;
  for (const shapes::RoundHole& hole : holes.beside) {
    bool taken = false;
    for (const job::Part& other : facts.job.parts) {
      if (taken || facts.card(other.card).kind != catalogue::CardKind::screw || !same_or_within(facts, other.into, screw.into)) continue;
      for (const SeatedScrew& s : seated(facts, other)) {
        const shapes::Vec3 out = hole.middle - s.sits.seat;
        taken = taken || shapes::length(out - s.sits.down * shapes::dot(out, s.sits.down)) <= 0.3;
      }
    }
    if (!taken && (!best || hole.beside < best->beside)) best = hole;
  }
  return best;
}

/// A screw that is drawn beside its hole, or over none. A rough body without holes of that kind says nothing, and one with holes
/// for other screws only says that it is rough.
void no_hole(const Facts& facts, const job::Part& screw, const joints::MetricSize& size, Yield& yield) {
  if (facts.card(screw.card).kind != catalogue::CardKind::screw || screw.into.empty() || screw.into_kind == "wood" || screw.into_kind == "through") return;
  // What holds inserts has no holes for the screws itself.
  if (screw.into_kind == "insert" && (facts.job.part(screw.into) == nullptr || facts.card_of(screw.into).word_or("thread").empty())) return;
  std::optional<ThreadHoles> bare;
  bool others_have = false;
  for (const SeatedScrew& s : seated(facts, screw)) {
    const ThreadHoles holes = thread_holes(facts, screw, s, size.diameter);
    others_have = others_have || holes.on_axis;
    if (!holes.on_axis && !bare) bare = holes;
  }
  if (!bare || (bare->beside.empty() && !others_have)) return;
  const auto free = free_hole(facts, screw, *bare);
  const std::string name = facts.name(screw.id), into = facts.name(screw.into);
  if (!free && !others_have) {
    yield.findings.push_back(about_screw(facts, "screw-hole", screw, plan::Severity::note, {screw.into}, fmt::format("{} is drawn with holes for other screws, and with none for {}", into, name), "draw its holes, and they are checked"));
    return;
  }
  yield.findings.push_back(about_screw(facts, "screw-hole", screw, plan::Severity::stop, {screw.into},
                                       fmt::format("{} goes into {}, and no hole lies there{}", name, into, free ? fmt::format(": the nearest one drawn for it is {} mm beside", number(free->beside.value, 2)) : ", as one does for its likes"),
                                       "move the screw onto its hole, or draw the hole where the screw is"));
}

/// A wood screw without a pilot hole splits the wood, or shears off: somebody drills it, or it is drawn.
void no_pilot(const Facts& facts, const job::Part& screw, Yield& yield) {
  const job::Step* driven = facts.job.installer(screw.id);
  if (facts.card(screw.card).kind != catalogue::CardKind::screw || screw.into_kind != "wood" || driven == nullptr) return;
  const std::vector<PartId> wood = facts.job.within(screw.into);
  for (const job::Step& step : facts.job.steps) {
    const std::set<PartId> worked = worked_on(facts, step);
    const bool there = &step == driven || std::any_of(wood.begin(), wood.end(), [&](const PartId& id) { return worked.contains(id); });
    const bool says = std::any_of(step.actions.begin(), step.actions.end(), [](const std::string& line) {
      return line.find("pilot") != std::string::npos || line.find("Pilot") != std::string::npos || line.find("awl") != std::string::npos || line.find("rill") != std::string::npos;
    });
    if (there && (step.process.text == "drill" || says)) return;
  }
  for (const SeatedScrew& s : seated(facts, screw)) {
    for (std::size_t body : facts.device->set_of(facts.job.within(screw.into)).list()) {
      const auto holes = shapes::holes_along(*facts.device->scene, body, s.sits);
      if (std::any_of(holes.begin(), holes.end(), [](const shapes::RoundHole& h) { return h.below && h.beside.value <= 0.3; })) return;
    }
  }
  plan::Finding f = about_screw(facts, "screw-hole", screw, plan::Severity::note, {screw.into}, fmt::format("no step drills pilot holes in {} for {}", facts.name(screw.into), facts.name(screw.id)),
                                "drill them by a step before, or by a line of the step that drives the screws");
  f.source = practice();
  yield.findings.push_back(std::move(f));
}

/// The axis of an insert and its outer diameter, as its bore and its outside show them.
std::optional<shapes::RoundPair> axis_of_insert(const Facts& facts, std::size_t body) {
  auto own = shapes::round_pair(*facts.device->scene, body, body);
  if (!own) return own;
  if (const auto outer = facts.card_of(facts.device->part_of[body]).get<Millimetres>("outer-diameter")) own->shaft = outer->high;
  return own;
}

/// The nearest hole beside it that is drawn for an insert as large and has none; 0: there is no such hole.
Millimetres nearest_beside(const Facts& facts, const job::Part& insert, const shapes::RoundPair& own) {
  shapes::ScrewSituation along;
  along.seat = own.at;
  along.down = own.axis;
  Millimetres nearest(0);
  for (std::size_t in : facts.device->set_of(facts.job.within(insert.into)).list()) {
    for (const shapes::RoundHole& hole : shapes::holes_along(*facts.device->scene, in, along)) {
      if (hole.diameter.value < 0.7 * own.shaft.value || hole.diameter.value > 1.05 * own.shaft.value) continue;
      bool taken = false;
      for (std::size_t body = 0; body < facts.device->part_of.size() && !taken; ++body) {
        const job::Part* other = facts.job.part(facts.device->part_of[body]);
        if (other->into != insert.into || facts.card(other->card).kind != catalogue::CardKind::part) continue;
        const auto there = axis_of_insert(facts, body);
        const shapes::Vec3 out = there ? hole.middle - there->at : shapes::Vec3{1e9, 0, 0};
        taken = there && shapes::length(out - there->axis * shapes::dot(out, there->axis)) <= 0.3;
      }
      if (!taken && (nearest.value == 0 || hole.beside < nearest)) nearest = hole.beside;
    }
  }
  return nearest;
}

/// An insert is melted or pressed into a hole a few tenths narrower than itself: a wider one drops it, a far narrower one bursts [practice].
void insert_hole(const Facts& facts, const job::Part& insert, Yield& yield) {
  const catalogue::Card& card = facts.card(insert.card);
  const bool set_in = card.kind == catalogue::CardKind::part && !card.word_or("thread").empty() && (insert.into_kind.empty() || insert.into_kind == "boss" || insert.into_kind == "wood");
  const auto bodies = facts.device->bodies_of.find(insert.id);
  if (!set_in || insert.into.empty() || bodies == facts.device->bodies_of.end()) return;
  const std::string name = facts.name(insert.id), into = facts.name(insert.into);
  for (std::size_t body : bodies->second) {
    const auto own = axis_of_insert(facts, body);
    if (!own) continue;
    const auto seat = seat_of_insert(facts, insert, body);
    const auto say = [&](plan::Severity severity, std::string message, std::string mend) {
      auto f = about_screw(facts, "screw-hole", insert, severity, {insert.into}, std::move(message), std::move(mend));
      if (seat) f.source = practice();
      yield.findings.push_back(std::move(f));
    };
    if (!seat) {
      const Millimetres beside = nearest_beside(facts, insert, *own);
      if (beside.value == 0) continue;  // drawn roughly, without its hole
      say(plan::Severity::stop, fmt::format("{} goes into {}, and its hole is drawn {} mm beside", name, into, number(beside.value, 2)), "move the insert onto its hole, or the hole");
      return;
    }
    const Millimetres hole = seat->pair.hole, width = seat->pair.shaft;
    const std::string sizes = fmt::format("the hole for {} in {} is {} mm, and the insert {} mm", name, into, number(hole.value, 2), number(width.value, 2));
    // Drawn as wide as the insert, it is a rough hole: its maker's figure is drilled or printed.
    if (hole.value > width.value + 0.05) {
      say(plan::Severity::stop, sizes + ": it falls in and holds nothing", "draw the hole some tenths narrower than the insert, as its maker says");
    } else if (hole.value < 0.75 * width.value) {
      say(plan::Severity::warn, sizes + ": it has to push away more than it can", "draw the hole some tenths narrower than the insert, as its maker says");
    } else {
      continue;
    }
    return;
  }
}

/// What holds the insert that the screw goes into: its hole lies about the thread.
std::vector<PartId> holders_of(const Facts& facts, const job::Part& screw) {
  const job::Part* insert = facts.job.part(screw.into);
  if (insert == nullptr || insert->into.empty() || facts.card(insert->card).kind != catalogue::CardKind::part) return {};
  return facts.job.within(insert->into);
}

/// How far the insert lies below the face that the clamped parts rest on. A hole too narrow for it is one that it is drawn against from
/// behind, as it should be; 0 then.
Millimetres sunk_by(const Facts& facts, const job::Part& insert, const std::vector<PartId>& holders, const SeatedScrew& s) {
  const auto thread = std::find_if(s.sits.layers.begin(), s.sits.layers.end(), [](const shapes::Layer& l) { return l.threaded; });
  if (thread == s.sits.layers.end() || facts.device->part_of[thread->part] != insert.id) return Millimetres(0);
  const auto seat = seat_of_insert(facts, insert, thread->part);
  for (const shapes::Layer& l : s.sits.layers) {
    if (!seat || l.part != seat->body || l.threaded || !has(holders, facts.device->part_of[l.part])) continue;
    const bool open = l.hole >= seat->pair.hole - Millimetres(0.05), reaches = l.to >= thread->from - Millimetres(0.05);
    if (open && reaches && l.from < thread->from) return thread->from - l.from;
  }
  return Millimetres(0);
}

/// Set below its face, an insert in plastic carries nothing that rests on it: the screw draws it out until it does [practice].
void sunk_insert(const Facts& facts, const job::Part& screw, Yield& yield) {
  constexpr Millimetres kFlush(0.3), kDeep(1);
  const std::vector<PartId> holders = holders_of(facts, screw);
  if (holders.empty()) return;
  const job::Part& insert = *facts.job.part(screw.into);
  Millimetres most(0);
  for (const SeatedScrew& s : seated(facts, screw)) most = std::max(most, sunk_by(facts, insert, holders, s));
  const catalogue::Card* material = holders.size() == 1 ? material_of(facts, holders.front()) : nullptr;
  if (most <= kFlush || material == nullptr || material->word_or("family") != "plastic") return;
  auto f = about_screw(facts, "screw-hole", screw, most > kDeep ? plan::Severity::warn : plan::Severity::note, {insert.id, holders.front()},
                       fmt::format("{} goes into {}, which lies {} mm below the face of {}: tightening draws it out until it meets what is clamped", facts.name(screw.id), facts.name(insert.id), number(most.value, 2), facts.name(holders.front())),
                       "set it flush with the face, or place it so");
  f.source = practice();
  yield.findings.push_back(std::move(f));
}

/// A hole that lets the screw through and is drawn a little beside it.
std::optional<shapes::RoundHole> drawn_beside(const Facts& facts, std::size_t body, const SeatedScrew& s, const joints::MetricSize& size) {
  constexpr double kOn = 0.05;  // mm
  std::optional<shapes::RoundHole> nearest;
  for (const shapes::RoundHole& hole : shapes::holes_along(*facts.device->scene, body, s.sits)) {
    const bool fits = hole.diameter.value >= size.diameter && hole.diameter.value <= size.hole_coarse + kOn;
    if (fits && hole.beside.value > kOn && hole.beside.value <= size.diameter / 2 && (!nearest || hole.beside < nearest->beside)) nearest = hole;
  }
  return nearest;
}

bool glued_or_pressed(const shapes::Scene& scene, std::size_t a, std::size_t b) { return scene.declared(a, b).has_value(); }

}  // namespace

void screw_hole(const Facts& facts, const job::Part& screw, Yield& yield) {
  no_pilot(facts, screw, yield);
  if (facts.device == nullptr || facts.device->empty()) return;
  insert_hole(facts, screw, yield);
  boss_holds(facts, screw, yield);
  const auto size = metric_size(facts.card(screw.card));
  if (!size || facts.card(screw.card).kind != catalogue::CardKind::screw) return;
  no_hole(facts, screw, *size, yield);
  sunk_insert(facts, screw, yield);
  const std::vector<PartId> clamped = clamped_by(facts, screw);
  std::vector<PartId> said;
  for (const SeatedScrew& s : seated(facts, screw)) {
    for (const shapes::Layer& layer : s.sits.layers) {
      const PartId part = facts.device->part_of[layer.part];
      // Without any hole, or one under the shank, they share space, which is said already.
      if (layer.threaded || layer.hole.value < size->diameter - 1e-6 || !has(clamped, part) || has(said, part)) continue;
      // A wider one about the axis, a relief, is not the hole for the screw then.
      if (const auto beside = layer.hole.value > size->hole_coarse ? drawn_beside(facts, layer.part, s, *size) : std::nullopt) {
        yield.findings.push_back(about_screw(facts, "screw-hole", screw, plan::Severity::warn, {part}, fmt::format("the hole for {} in {} is drawn {} mm beside the screw", facts.name(screw.id), facts.name(part), number(beside->beside.value, 2)),
                                             "move the hole, or the screw, onto one axis"));
        said.push_back(part);
        continue;
      }
      const auto making = making_of(facts, part);
      const double hole = layer.hole.value, off = making ? making->tolerance.value : 0, fine = size->hole_fine;
      const Source source{"FASTENERS", fmt::format("ISO 273, {}: fine {} mm", size->name, number(fine, 2)), Standing::read};
      const std::string what = fmt::format("the hole for {} in {} is {} mm; ISO 273 gives {} to {} mm", facts.name(screw.id), facts.name(part), number(hole, 2), number(fine, 2), number(size->hole_coarse, 2));
      if (hole < fine - 1e-6) {
        const bool binds = hole - off < size->diameter - 1e-6;
        auto f = about_screw(facts, "screw-hole", screw, binds ? plan::Severity::warn : plan::Severity::note, {part}, binds ? fmt::format("{}, and off by {} mm it is narrower than the screw", what, number(off, 2)) : what,
                             fmt::format("drill it to {} mm", number(size->hole_medium, 2)));
        f.source = source;
        yield.findings.push_back(std::move(f));
        said.push_back(part);
      } else if (!s.sits.sunk && &layer == &s.sits.layers.front() && s.sits.head.value < hole + 2 * 0.1 * size->diameter) {
        // A rim of a tenth of the diameter all round is the least that a head bears on [practice].
        auto f = about_screw(facts, "screw-hole", screw, plan::Severity::warn, {part}, fmt::format("{}, and its head of {} mm nearly slips through", what, number(s.sits.head.value, 2)),
                             fmt::format("put a washer under it, or drill {} mm", number(size->hole_medium, 2)));
        f.source = source;
        yield.findings.push_back(std::move(f));
        said.push_back(part);
      }
    }
  }
}

void screw_seat(const Facts& facts, const job::Part& screw, Yield& yield) {
  if (facts.card(screw.card).kind != catalogue::CardKind::screw || facts.card(screw.card).word_or("head") == "set" || facts.device == nullptr || facts.device->empty()) return;
  constexpr double kHair = 0.005;  // mm, of meshes
  constexpr double kGap = 0.2;  // mm, that tightening closes without harm [practice]
  // What is not drawn may be what fills the gap and carries the head.
  const bool all_drawn = std::all_of(screw.clamps.begin(), screw.clamps.end(), [&](const PartId& id) {
    const std::vector<PartId> inside = facts.job.within(id);
    return std::all_of(inside.begin(), inside.end(), [&](const PartId& p) { return facts.device->bodies_of.contains(p); });
  });
  // What clamps nothing only adjusts, like what is named so: nothing is drawn together under it.
  bool tip = false, head = !all_drawn, gap = !all_drawn || screw.clamps.empty() || adjusts(facts, screw);
  for (const SeatedScrew& s : seated(facts, screw)) {
    const std::string name = facts.name(screw.id);
    const bool in_its_thread = s.sits.room && facts.device->scene->declared(s.sits.room_to, s.body) == shapes::Declared::Kind::thread;
    if (s.sits.room && s.sits.room->value <= 0.02 && !in_its_thread && !std::exchange(tip, true)) {
      const PartId hit = facts.device->part_of[s.sits.room_to];
      yield.findings.push_back(about_screw(facts, "screw-seat", screw, plan::Severity::stop, {hit}, fmt::format("the tip of {} runs into {}", name, facts.name(hit)), "take a shorter screw, or deepen the hole"));
    }
    if (s.sits.layers.empty()) continue;
    const PartId under = facts.device->part_of[s.sits.layers.front().part];
    if (!s.sits.head_seated && !std::exchange(head, true)) {
      yield.findings.push_back(about_screw(facts, "screw-seat", screw, plan::Severity::warn, {under}, fmt::format("the head of {} is not carried all round by {}", name, facts.name(under)), "move the screw, or put a washer under its head"));
    }
    if (s.sits.unsupported.value > kGap + kHair && !std::exchange(gap, true)) {
      yield.findings.push_back(about_screw(facts, "screw-seat", screw, plan::Severity::warn, {}, fmt::format("under the head of {} there are gaps of {} mm that tightening closes or bends over", name, number(s.sits.unsupported.value, 2)),
                                           "let the parts meet under the screw, or put a spacer between them; if it only adjusts, leave out clamps"));
    }
  }
}

void screw_agrees(const Facts& facts, const job::Part& screw, Yield& yield) {
  if (facts.card(screw.card).kind != catalogue::CardKind::screw) return;
  const auto screws = seated(facts, screw);
  const auto stack = stack_from_shapes(screws);
  if (!stack) return;
  const std::string name = facts.name(screw.id);
  const auto say = [&](std::string message, std::string mend, std::vector<PartId> others) {
    yield.findings.push_back(about_screw(facts, "screw-agrees", screw, plan::Severity::note, std::move(others), std::move(message), std::move(mend)));
  };
  constexpr double kSame = 0.305;  // mm, of a grip; 0.3: what a calliper at the bench and a drawing differ by [practice]; a hair for meshes
  if (const auto grip = grip_of(screw); grip && (grip->value < stack->grip_least.value - kSame || grip->value > stack->grip_most.value + kSame)) {
    say(fmt::format("{} is said to clamp {} mm, and the shapes show {} mm", name, number(grip->value, 2), number(stack->grip_most.value, 2)), "measure again, or correct the place of a part", {});
  }
  if (screw.into_depth && stack->drawn && std::abs((*screw.into_depth - stack->thread_least).value) > kSame) {
    say(fmt::format("the thread for {} is said to be {} mm deep, and the shapes show {} mm", name, number(screw.into_depth->value, 2), number(stack->thread_least.value, 2)), "correct into-depth, or the hole of the part", {screw.into});
  }
  const std::vector<PartId> clamped = clamped_by(facts, screw);
  const auto shown = [&](const PartId& part) {
    return std::any_of(screws.begin(), screws.end(), [&](const SeatedScrew& s) {
      return std::any_of(s.sits.layers.begin(), s.sits.layers.end(), [&](const shapes::Layer& l) { return facts.device->part_of[l.part] == part && !l.threaded; });
    });
  };
  for (const PartId& id : screw.clamps) {
    const std::vector<PartId> inside = facts.job.within(id);
    const bool modelled = std::any_of(inside.begin(), inside.end(), [&](const PartId& p) { return facts.device->bodies_of.contains(p); });
    if (modelled && std::none_of(inside.begin(), inside.end(), shown)) say(fmt::format("{} is said to clamp {}, and the shapes show none of it under the head", name, facts.name(id)), "correct clamps, or the place of a part", {id});
  }
  std::vector<PartId> said = holders_of(facts, screw);
  for (const SeatedScrew& s : screws) {
    for (const shapes::Layer& l : s.sits.layers) {
      const PartId part = facts.device->part_of[l.part];
      if (l.threaded || l.from >= s.sits.grip - Millimetres(0.02) || has(clamped, part) || has(said, part)) continue;
      // What is glued or pressed to a clamped part counts as a layer of it.
      const bool of_clamped = std::any_of(s.sits.layers.begin(), s.sits.layers.end(), [&](const shapes::Layer& o) { return has(clamped, facts.device->part_of[o.part]) && glued_or_pressed(*facts.device->scene, o.part, l.part); });
      if (of_clamped) continue;
      say(fmt::format("{} goes through {} too, and clamps does not name it", name, facts.name(part)), fmt::format("add {} to clamps: the order then knows that it must be in first", part.text), {part});
      said.push_back(part);
    }
  }
}

}  // namespace handlot::rules
