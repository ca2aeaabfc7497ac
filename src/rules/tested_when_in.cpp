// A part is tested where it is: the test of a part in a body comes after the part came into that body.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/fitted.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

/// The step puts in the part itself, or what it belongs to; else the body that the part is tested in.
bool puts_in(const Facts& facts, const job::Step& step, const PartId& part) {
  std::vector<PartId> bodies = facts.job.around(part);
  bodies.push_back(part);
  const bool installs = std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return has(bodies, i.part); });
  return installs || std::any_of(step.bonds.begin(), step.bonds.end(), [&](const JointId& id) {
    const std::vector<PartId>& members = facts.job.joint(id)->between;
    return std::any_of(members.begin(), members.end(), [&](const PartId& m) { return has(bodies, m); });
  });
}

bool wires(const job::Step& step) {
  constexpr std::array<std::string_view, 4> kWiring{"hand-solder", "plug", "wire", "crimp"};
  return std::find(kWiring.begin(), kWiring.end(), step.process.text) != kWiring.end();
}

std::string why(const Facts& facts, const job::Step& test, const PartId& part, const job::Step& joins) {
  if (!puts_in(facts, joins, part) && wires(joins)) return fmt::format("{} tests {}, which {} connects", say(test), facts.name(part), say(joins));
  const std::string with = puts_in(facts, joins, part) ? "" : fmt::format(" together with {}", facts.name(test.on));
  return fmt::format("{} tests {}{}, which {} puts in", say(test), facts.name(part), with, say(joins));
}

/// The screw draws down, on the body that the seal lies in, what was laid over the seal before the test.
bool squeezes(const Facts& facts, const job::Part& screw, const PartId& seal, const job::Step& test) {
  if (has(screw.clamps, seal)) return true;
  const job::Step* lies = facts.job.installer(seal);
  if (lies == nullptr || !same_or_within(facts, screw.into, lies->on)) return false;
  return std::any_of(screw.clamps.begin(), screw.clamps.end(), [&](const PartId& cover) {
    const job::Step* over = facts.job.installer(cover);
    return over != nullptr && over->on == lies->on && lies <= over && over < &test;
  });
}

/// A seal is tight when it is squeezed: the screws that clamp it, or what lies over it, come before its test.
void squeezed_first(const Facts& facts, const job::Step& test, const PartId& seal, Yield& yield) {
  if (!gives(facts, seal) || test.on == seal) return;
  for (const job::Part& screw : facts.job.parts) {
    const job::Step* drives = squeezes(facts, screw, seal, test) ? facts.job.installer(screw.id) : nullptr;
    if (drives == nullptr || drives == &test) continue;
    yield.links.push_back(before(*drives, test, reason(plan::ReasonKind::test, "tested-when-in", fmt::format("{} tests {}, which {} squeezes", say(test), facts.name(seal), facts.name(screw.id)), practice(), test.place)));
  }
}

/// What a step that makes a connection ties together.
std::set<PartId> tied(const Facts& facts, const job::Step& step) {
  std::set<PartId> ends;
  const auto add = [&](const PartId& id) {
    if (id.text == "unit") return;
    for (const PartId& inside : facts.job.within(id)) ends.insert(inside);
  };
  add(step.on);
  for (const PartId& id : step.touches) add(id);
  for (const job::Installs& i : step.installs) add(i.part);
  return ends;
}

/// The steps listed before the test that tie the part to what it is tested on, or to what sits on that, wire by wire: soldered by its
/// leads it is tested beside its case. Empty: nothing ties them.
std::vector<const job::Step*> wired_before(const Facts& facts, const job::Step& test, const PartId& part) {
  struct Way {
    std::vector<const job::Step*> steps;
    std::set<PartId> ends;
  };
  const std::vector<PartId> of_part = facts.job.within(part), of_tested = facts.job.within(test.on);
  const std::set<PartId> wanted(of_tested.begin(), of_tested.end());
  std::vector<Way> ways{{{}, {of_part.begin(), of_part.end()}}};
  for (std::size_t i = 0; i < ways.size(); ++i) {
    for (const job::Step& s : facts.job.steps) {
      if (&s == &test) break;
      const Way from = ways[i];  // by value: the list grows
      const bool taken = std::any_of(ways.begin(), ways.end(), [&](const Way& w) { return !w.steps.empty() && w.steps.back() == &s; });
      const std::set<PartId> ends = wires(s) && !taken ? tied(facts, s) : std::set<PartId>();
      if (std::none_of(ends.begin(), ends.end(), [&](const PartId& id) { return from.ends.contains(id); })) continue;
      Way on{from.steps, ends};
      on.steps.push_back(&s);
      if (std::any_of(ends.begin(), ends.end(), [&](const PartId& id) { return wanted.contains(id); })) return on.steps;
      const auto end = std::find_if(ends.begin(), ends.end(), [&](const PartId& id) { return sits_on_one_of(facts, id, test, wanted); });
      if (end != ends.end()) {
        if (const job::Step* puts = brings_in(facts, *end)) on.steps.push_back(puts);
        return on.steps;
      }
      ways.push_back(std::move(on));
    }
  }
  return {};
}

/// The steps that bring the part to what it is tested on. Where they are listed after the test, and wires tie the two before it: those.
std::vector<const job::Step*> brought_for(const Facts& facts, const job::Step& test, const PartId& part) {
  std::vector<const job::Step*> joining = joining_steps(facts, part, test.on);
  if (std::none_of(joining.begin(), joining.end(), [&](const job::Step* s) { return &test < s; })) return joining;
  std::vector<const job::Step*> wired = wired_before(facts, test, part);
  return wired.empty() ? joining : wired;
}

}  // namespace

void tested_when_in(const Facts& facts, const job::Step& test, Yield& yield) {
  if (test.on.empty()) return;
  for (const PartId& part : test.tests) {
    if (part.text == "unit") continue;  // as far as it is built by then
    squeezed_first(facts, test, part, yield);
    for (const job::Step* joins : brought_for(facts, test, part)) {
      if (joins == &test) continue;
      yield.links.push_back(before(*joins, test, reason(plan::ReasonKind::test, "tested-when-in", why(facts, test, part, *joins), stated(), test.place)));
    }
  }
}

}  // namespace handlot::rules
