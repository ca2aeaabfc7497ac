// A part or subassembly goes in while a straight way in is still open.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/siblings.h"
#include "shapes/order.h"

namespace handlot::rules {

PartId holder_of(const Facts& facts, const PartId& id) {
  const std::vector<PartId> around = facts.job.around(id);
  return around.empty() ? PartId() : around.front();
}

PartId level_of(const Facts& facts, const job::Step& step) {
  return facts.job.assembly(step.on) != nullptr ? step.on : holder_of(facts, step.on);
}

std::vector<Sibling> siblings(const Facts& facts, const PartId& inside) {
  std::vector<Sibling> all;
  const auto add = [&](const PartId& id) {
    Sibling s;
    s.id = id;
    s.bodies = facts.device->set_of(facts.job.within(id));
    s.step = facts.job.installer(id);
    if (!s.bodies.empty()) all.push_back(std::move(s));
  };
  for (const job::Part& p : facts.job.parts) {
    if (p.assembly == inside && !p.jig) add(p.id);
  }
  for (const job::Assembly& a : facts.job.assemblies) {
    if (a.parent == inside) add(a.id);
  }
  return all;
}

namespace {

/// What gives is stretched over what it lies round: a belt over its pulley, an O-ring over its shaft. No straight way leads there,
/// so one stands in the way of the other in every direction, and either may come first.
bool stretched_over(const Facts& facts, const Sibling& mine, const Sibling& other) {
  if (!gives(facts, mine.id) && !gives(facts, other.id)) return false;
  const shapes::Blocking& table = *facts.device->blocking;
  for (std::size_t d = 0; d < table.directions().size(); ++d) {
    const auto bodies = mine.bodies.list();
    if (std::none_of(bodies.begin(), bodies.end(), [&](std::size_t body) { return table.blockers(d, body).meets(other.bodies); })) return false;
  }
  return true;
}

/// Everything that is there from the start, or goes in with the same step and so in the order that suits.
shapes::PartSet base_of(const Facts& facts, const std::vector<Sibling>& all, const Sibling& mine) {
  shapes::PartSet base(facts.device->part_of.size());
  for (const Sibling& s : all) {
    if (s.id != mine.id && s.step == nullptr && !stretched_over(facts, mine, s)) base |= s.bodies;
  }
  return base;
}

/// Does the job tie the sibling to one of these parts, by itself or by a screw that was driven by then?
bool tied_to(const Facts& facts, const std::vector<Sibling>& all, const Sibling& s, const std::vector<PartId>& base, const job::Step& until) {
  const auto meets_base = [&](const PartId& id) { return !id.empty() && std::any_of(base.begin(), base.end(), [&](const PartId& b) { return same_or_within(facts, id, b); }); };
  const auto is_of = [&](const PartId& id) { return !id.empty() && same_or_within(facts, id, s.id); };
  const auto any_of = [](const std::vector<PartId>& ids, const auto& is) { return std::any_of(ids.begin(), ids.end(), is); };
  const job::Part* part = facts.job.part(s.id);
  if (part != nullptr && (meets_base(part->into) || any_of(part->presses, meets_base) || any_of(part->clamps, meets_base))) return true;
  return std::any_of(all.begin(), all.end(), [&](const Sibling& other) {
    const job::Part* screw = other.step == nullptr || &until <= other.step ? nullptr : facts.job.part(other.id);
    if (screw == nullptr) return false;
    const bool holds_s = is_of(screw->into) || any_of(screw->clamps, is_of);
    return holds_s && (meets_base(screw->into) || any_of(screw->clamps, meets_base));
  });
}

/// What was set, pressed or screwed onto the part on the bench, by steps listed before the one that puts it in: it rides along.
std::vector<Sibling> riders(const Facts& facts, const std::vector<Sibling>& all, const PartId& on, const job::Step& until) {
  std::vector<Sibling> found;
  std::vector<PartId> base{on};
  for (bool more = true; more;) {
    more = false;
    for (const Sibling& s : all) {
      if (has(base, s.id) || s.step == nullptr || &until <= s.step || !has(base, s.step->on) || !tied_to(facts, all, s, base, until)) continue;
      found.push_back(s);
      base.push_back(s.id);
      more = true;
    }
  }
  return found;
}

/// What counts for one that is put into a part on the bench: that part, and what rides on it.
void keep_those_on_the_bench(const Facts& facts, const job::Step& step, std::vector<Sibling>& all) {
  const job::Step* later = facts.job.part(step.on) == nullptr ? nullptr : facts.job.installer(step.on);
  if (later == nullptr || later <= &step) return;
  std::vector<PartId> there{step.on};
  for (const Sibling& s : riders(facts, all, step.on, *later)) there.push_back(s.id);
  const auto mine = [&](const Sibling& s) { return s.step == &step; };
  if (std::none_of(all.begin(), all.end(), [&](const Sibling& s) { return mine(s) && has(there, s.id); })) return;
  std::erase_if(all, [&](const Sibling& s) { return !mine(s) && !has(there, s.id); });
}

/// A part with what rides on it goes in as one body.
void take_along(const Facts& facts, const job::Step& step, std::vector<Sibling>& all, Sibling& mine) {
  for (const Sibling& s : riders(facts, all, mine.id, step)) {
    mine.bodies |= s.bodies;
    std::erase_if(all, [&](const Sibling& other) { return other.id == s.id; });
  }
}

/// The siblings, put in by other steps, that stand in the way of `mine` leaving along a direction.
std::vector<const Sibling*> in_the_way(const Facts& facts, const std::vector<Sibling>& all, const Sibling& mine, std::size_t direction) {
  shapes::PartSet blockers(facts.device->part_of.size());
  for (std::size_t body : mine.bodies.list()) blockers |= facts.device->blocking->blockers(direction, body);
  blockers -= mine.bodies;
  std::vector<const Sibling*> found;
  for (const Sibling& s : all) {
    if (s.id != mine.id && s.step != mine.step && blockers.meets(s.bodies) && !stretched_over(facts, mine, s)) found.push_back(&s);
  }
  return found;
}

plan::Constraint first_in(const Facts& facts, const job::Step& step, const Sibling& mine, const Sibling& other, const std::string& way) {
  return before(step, *other.step,
                reason(plan::ReasonKind::blocked, "goes-in", fmt::format("{} goes in {}, and {} would be in its way", facts.name(mine.id), way, facts.name(other.id)),
                       {"", "the shapes of the parts, straight moves", Standing::measured}, step.place));
}

bool declared_way(const Facts& facts, const Sibling& mine, shapes::Vec3 leaving) {
  for (std::size_t body : mine.bodies.list()) {
    const auto& along = facts.device->scene->part(body).insert_along;
    if (along.empty()) continue;
    return std::any_of(along.begin(), along.end(), [&](shapes::Vec3 d) { return shapes::dot(d, leaving) < -0.999; });
  }
  return true;
}

/// Screws over the part that no step drives: they are there from the start, and no part gets in under them.
std::string forgotten_screws(const Facts& facts, const std::vector<Sibling>& all, const Sibling& mine) {
  for (const Sibling& s : all) {
    const job::Part* screw = facts.job.part(s.id);
    if (s.step != nullptr || screw == nullptr || facts.card(screw->card).kind != catalogue::CardKind::screw || !has(screw->clamps, mine.id)) continue;
    return fmt::format("no step puts {} in, so it is there from the start: write <installs part=\"{}\"/> into the step that drives it; or ", facts.name(s.id), s.id.text);
  }
  return {};
}

void two_moves(const Facts& facts, const job::Step& step, const std::vector<Sibling>& all, const Sibling& mine, Yield& yield) {
  const shapes::PartSet base = base_of(facts, all, mine);
  const auto& scene = *facts.device->scene;
  const auto& table = *facts.device->blocking;
  const shapes::Insertion alone = shapes::can_go_in(scene, table, mine.bodies, base, true);
  if (!alone.possible) {
    auto f = finding("goes-in", plan::Severity::stop, step, fmt::format("{} can't be got in: {}", facts.name(mine.id), shapes::say(scene, mine.bodies, alone.obstacles)),
                     forgotten_screws(facts, all, mine) + "change a shape or a place, put what blocks it in by a later step, or declare insert-along, presses or into", {"", "the shapes of the parts", Standing::measured});
    f.parts = {mine.id};
    yield.findings.push_back(std::move(f));
    return;
  }
  for (const Sibling& other : all) {
    if (other.step == nullptr || other.step == &step || stretched_over(facts, mine, other)) continue;
    shapes::PartSet present = base;
    present |= other.bodies;
    if (shapes::can_go_in(scene, table, mine.bodies, present, true).possible) continue;
    yield.links.push_back(first_in(facts, step, mine, other, "by two moves"));
  }
}

using Later = std::set<StepId>;

/// The ways in of one body, by the steps that must come later; an empty key: a way that nothing closes.
std::map<Later, std::vector<plan::Constraint>> ways_in(const Facts& facts, const job::Step& step, const std::vector<Sibling>& all, const Sibling& mine) {
  std::map<Later, std::vector<plan::Constraint>> ways;
  for (std::size_t d = 0; d < facts.device->blocking->directions().size(); ++d) {
    const shapes::Vec3 leaving = facts.device->blocking->directions()[d];
    if (!declared_way(facts, mine, leaving)) continue;
    const auto others = in_the_way(facts, all, mine, d);
    if (std::any_of(others.begin(), others.end(), [](const Sibling* s) { return s->step == nullptr; })) continue;
    Later later;
    std::vector<plan::Constraint> way;
    for (const Sibling* other : others) {
      if (later.insert(other->step->id).second) way.push_back(first_in(facts, step, mine, *other, shapes::say_insertion(leaving)));
    }
    ways.emplace(std::move(later), std::move(way));
    if (ways.begin()->first.empty()) break;
  }
  return ways;
}

/// Says what one body asks. `said` holds what other bodies of the same part asked already.
void body_goes_in(const Facts& facts, const job::Step& step, const std::vector<Sibling>& all, const Sibling& mine, std::set<std::set<Later>>& said, Yield& yield) {
  const auto ways = ways_in(facts, step, all, mine);
  if (ways.empty()) {
    two_moves(facts, step, all, mine, yield);
    return;
  }
  if (ways.begin()->first.empty()) return;
  std::vector<std::vector<plan::Constraint>> options;
  std::set<Later> asked;
  for (const auto& [later, way] : ways) {
    // A way that asks more than another way does is no help.
    const bool harder = std::any_of(ways.begin(), ways.end(), [&](const auto& w) { return w.first != later && std::includes(later.begin(), later.end(), w.first.begin(), w.first.end()); });
    if (harder) continue;
    options.push_back(way);
    asked.insert(later);
  }
  if (!said.insert(asked).second) return;
  std::stable_sort(options.begin(), options.end(), [](const auto& a, const auto& b) { return a.size() < b.size(); });
  at_least_one(yield, "goes-in", std::move(options), fmt::format("which way {} goes in", facts.name(mine.id)), step.place);
}

}  // namespace

void goes_in(const Facts& facts, const job::Step& step, Yield& yield) {
  if (facts.device == nullptr || facts.device->empty()) return;
  for (const job::Installs& installs : step.installs) {
    std::vector<Sibling> all = siblings(facts, holder_of(facts, installs.part));
    const auto found = std::find_if(all.begin(), all.end(), [&](const Sibling& s) { return s.id == installs.part; });
    if (found == all.end()) continue;  // not modelled
    Sibling mine = *found;
    const bool one_body = mine.bodies.list().size() == 1 || facts.job.assembly(installs.part) != nullptr;
    keep_those_on_the_bench(facts, step, all);
    if (one_body) take_along(facts, step, all, mine);
    std::set<std::set<Later>> said;
    if (one_body) {
      body_goes_in(facts, step, all, mine, said, yield);
      continue;
    }
    // Equal parts go in one by one, each its own way; a subassembly goes in whole.
    for (std::size_t body : mine.bodies.list()) {
      Sibling one = mine;
      one.bodies = shapes::PartSet(facts.device->part_of.size());
      one.bodies.add(body);
      body_goes_in(facts, step, all, one, said, yield);
    }
  }
}

}  // namespace handlot::rules
