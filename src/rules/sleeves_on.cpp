// A sleeve, a gland or the cover of a plug is on the wire before both ends of the wire are made.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>
#include <vector>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/named.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/spared.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

/// Fixes an end of the wire, so that nothing is pushed over that end any more. Led through something, the end is free yet.
bool makes_an_end(const job::Step& step, const PartId& wire) {
  constexpr std::array<std::string_view, 3> kEnds{"hand-solder", "crimp", "wire"};
  const bool led = step.process.text == "wire" && step_words(step).find("through") != std::string::npos;
  return !led && std::find(kEnds.begin(), kEnds.end(), step.process.text) != kEnds.end() && names(step, wire);
}

/// A plug that is crimped on stays on the wire's end; a ferrule goes through a gland.
bool crimps_a_plug(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 5> kPlugs{"plug", "connector", "socket", "jack", "housing"};
  return step.process.text == "crimp" && says_one_of(kPlugs, both_names(facts, step.installs.front().part));
}

/// What the wire is joined to by the step: what that works on, or the first of what is soldered or crimped to the wire itself.
std::set<PartId> joined_to(const Facts& facts, const job::Step& step) {
  std::set<PartId> bodies(step.touches.begin(), step.touches.end());
  bodies.insert(step.on);
  const bool to_the_wire = is_wire(facts, step.on) && !step.installs.empty();
  if (to_the_wire && (step.process.text == "hand-solder" || crimps_a_plug(facts, step))) bodies.insert(step.installs.front().part);
  std::erase_if(bodies, [&](const PartId& id) { return id.empty() || is_wire(facts, id); });
  return bodies;
}

/// A jack has a sleeve too: what is pushed, slid or threaded on is the one that is meant.
bool speaks_of_sleeves(const job::Step& step) {
  constexpr std::array<std::string_view, 5> kVerbs{"push", "slid", "slip", "thread", "pull"};
  constexpr std::array<std::string_view, 7> kThings{"sleeve", "shrink", "gland", "boot", "cover", "shell", "nut"};
  return std::any_of(step.actions.begin(), step.actions.end(), [&](const std::string& action) {
    const std::string line = lower(action);
    return says_one_of(kThings, line) && says_one_of(kVerbs, line);
  });
}

/// By its name it goes over the end of a cable, and it is not called split or made of halves.
bool closed_ring(const Facts& facts, const PartId& part) {
  constexpr std::array<std::string_view, 10> kOver{"gland", "boot", "heat-shrink", "backshell", "plug cover", "plug shell", "connector cover", "cable nut", "union nut", "bend protector"};
  constexpr std::array<std::string_view, 7> kOpen{"split", "half", "halves", "two-part", "clip", "snap", "hinge"};
  const std::string text = both_names(facts, part);
  return says_one_of(kOver, text) && !says_one_of(kOpen, text);
}

/// What the cable goes through a wall in.
bool in_a_wall(const Facts& facts, const PartId& ring) {
  constexpr std::array<std::string_view, 2> kGlands{"gland", "bend protector"};
  return says_one_of(kGlands, both_names(facts, ring));
}

/// What the step puts on the wire over its end; null: nothing.
const job::Installs* put_over(const Facts& facts, const job::Step& step) {
  if (step.process.text == "heat-shrink") return step.installs.empty() ? nullptr : &step.installs.front();
  const auto found = std::find_if(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return closed_ring(facts, i.part); });
  return found == step.installs.end() ? nullptr : &*found;
}

/// What the part is put on, what that is put on, and so on to the last; no chain runs along a wire.
PartId carried_by(const Facts& facts, PartId id) {
  for (std::size_t i = 0; i < facts.job.parts.size() + facts.job.assemblies.size(); ++i) {
    const job::Step* put = brings_in(facts, id);
    const std::vector<PartId> around = facts.job.around(id);
    const PartId under = put != nullptr ? put->on : around.empty() ? PartId() : around.front();
    if (under.empty() || under.text == "unit" || is_wire(facts, under)) break;
    id = under;
  }
  return id;
}

/// Lies in one body with `other`, or is plugged to what does.
bool in_one_body(const Facts& facts, const PartId& id, const PartId& other) {
  const PartId body = carried_by(facts, other);
  if (carried_by(facts, id) == body) return true;
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    if ((s.process.text != "plug" && s.process.text != "wire") || !names(s, id)) return false;
    return carried_by(facts, s.on) == body || std::any_of(s.touches.begin(), s.touches.end(), [&](const PartId& t) { return carried_by(facts, t) == body; });
  });
}

std::set<PartId> ends_of(const Facts& facts, const PartId& wire) {
  std::set<PartId> ends;
  for (const job::Step& s : facts.job.steps) {
    if (makes_an_end(s, wire)) ends.merge(joined_to(facts, s));
  }
  return ends;
}

/// The job ties the two: the ring clamps or presses the wire, is bonded to it or lies on its way, or another step works on both.
bool tied(const Facts& facts, const job::Step& step, const PartId& ring, const PartId& wire) {
  const job::Part* part = facts.job.part(ring);
  if (part != nullptr && (has(part->clamps, wire) || has(part->presses, wire) || part->into == wire)) return true;
  const auto both = [&](const job::Joint& j) { return has(j.between, ring) && has(j.between, wire); };
  const auto way = [&](const job::Cable& c) { return c.part == wire && std::any_of(c.way.begin(), c.way.end(), [&](const job::Cable::Point& p) { return p.of == ring; }); };
  const auto works = [&](const job::Step& s) { return &s != &step && names(s, ring) && names(s, wire); };
  return std::any_of(facts.job.joints.begin(), facts.job.joints.end(), both) || std::any_of(facts.job.cables.begin(), facts.job.cables.end(), way) ||
         std::any_of(facts.job.steps.begin(), facts.job.steps.end(), works);
}

/// Goes out through the wall that the ring is put in: one of its ends is in that body, and one is not.
bool goes_out(const Facts& facts, const PartId& wall, const PartId& wire) {
  const std::set<PartId> ends = ends_of(facts, wire);
  const auto inside = std::count_if(ends.begin(), ends.end(), [&](const PartId& end) { return in_one_body(facts, end, wall); });
  return inside > 0 && static_cast<std::size_t>(inside) < ends.size();
}

/// The wires that it may be put on: what the step names; else what was joined before to the plug that it is on; of a gland in a wall also
/// what the job ties to it, else what goes out through that wall.
std::vector<PartId> wires_under(const Facts& facts, const job::Step& step, const PartId& ring) {
  if (is_wire(facts, step.on)) return {step.on};
  for (const PartId& id : step.touches) {
    if (is_wire(facts, id)) return {id};
  }
  if (step.process.text == "heat-shrink") return {};
  std::vector<PartId> joined, of_ring, out;
  for (const job::Part& part : facts.job.parts) {
    if (!is_wire(facts, part.id)) continue;
    const bool at_plug = std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return &s != &step && makes_an_end(s, part.id) && joined_to(facts, s).contains(step.on); });
    if (at_plug && joined.empty()) joined.push_back(part.id);
    if (tied(facts, step, ring, part.id)) of_ring.push_back(part.id);
    if (in_a_wall(facts, ring) && goes_out(facts, step.on, part.id)) out.push_back(part.id);
  }
  return !of_ring.empty() ? of_ring : !joined.empty() ? joined : out;
}

/// It comes with a plug on one end, by its name, that nothing is pushed over.
bool comes_with_plug(const Facts& facts, const PartId& wire) {
  constexpr std::array<std::string_view, 6> kPlugs{"moulded plug", "molded plug", "moulded-on plug", "molded-on plug", "with plug", "moulded connector"};
  return says_one_of(kPlugs, both_names(facts, wire));
}

/// It speaks of what goes on the wire, and not only of another ring that it puts on itself.
bool speaks_of_it(const Facts& facts, const job::Step& s, const PartId& ring) {
  const job::Installs* other = put_over(facts, s);
  return speaks_of_sleeves(s) && (other == nullptr || other->part == ring || names_part(facts, step_words(s), ring));
}

/// The step behind which both ends of the wire are made, so that the ring is late. Null: an end is free yet, or the ring is on.
const job::Step* late_for(const Facts& facts, const KnownOrder& order, const job::Step& step, const PartId& ring, const PartId& wire) {
  std::size_t ends = comes_with_plug(facts, wire) ? 1 : 0;
  const job::Step* last = nullptr;
  for (const job::Step& s : facts.job.steps) {
    if (&s != &step && names(s, wire) && speaks_of_it(facts, s, ring) && !order.before(step.id, s.id)) return nullptr;
    if (!makes_an_end(s, wire)) continue;
    const bool comes_first = order.before(s.id, step.id) || (&s < &step && !order.before(step.id, s.id));
    if (!comes_first) return nullptr;
    ends += joined_to(facts, s).size();
    last = &s;
  }
  return ends < 2 ? nullptr : last;
}

/// Something of what the step puts on was laid on the wire by another, which is not known to come after.
bool laid_ready(const Facts& facts, const KnownOrder& order, const job::Step& step) {
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    return &s != &step && !order.before(step.id, s.id) && std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return names(s, i.part); });
  });
}

}  // namespace

void sleeves_on(const Facts& facts, const KnownOrder& order, const job::Step& step, Yield& yield) {
  const job::Installs* put = put_over(facts, step);
  const std::vector<PartId> wires = put == nullptr || laid_ready(facts, order, step) ? std::vector<PartId>() : wires_under(facts, step, put->part);
  if (wires.empty()) return;
  std::string last;
  for (const PartId& wire : wires) {
    const job::Step* late = late_for(facts, order, step, put->part, wire);
    if (late == nullptr) return;
    if (last.empty()) last = say(*late);
  }
  auto f = finding("sleeves-on", plan::Severity::undecided, step,
                   fmt::format("{} puts {} on {} when both its ends are made ({}): no step says that they are on it before", say(step), facts.name(put->part), facts.name(wires.front()), last),
                   step.process.text == "heat-shrink" ? fmt::format("write into the step that makes the last end: <do>Push the sleeve on</do>; or shrink before {}", last)
                                                      : fmt::format("write into the step that makes the last end, as in <do>Slide the nut on</do>; or put it on before {}", last),
                   practice());
  f.parts = {put->part};
  yield.findings.push_back(std::move(f));
}

}  // namespace handlot::rules
