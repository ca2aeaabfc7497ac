// A part is tested where it is: the test of a part in a body comes after the part came into that body.
#include <fmt/format.h>

#include <algorithm>

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

std::string why(const Facts& facts, const job::Step& test, const PartId& part, const job::Step& joins) {
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

}  // namespace

void tested_when_in(const Facts& facts, const job::Step& test, Yield& yield) {
  if (test.on.empty()) return;
  for (const PartId& part : test.tests) {
    if (part.text == "unit") continue;  // as far as it is built by then
    squeezed_first(facts, test, part, yield);
    for (const job::Step* joins : joining_steps(facts, part, test.on)) {
      if (joins == &test) continue;
      yield.links.push_back(before(*joins, test, reason(plan::ReasonKind::test, "tested-when-in", why(facts, test, part, *joins), stated(), test.place)));
    }
  }
}

}  // namespace handlot::rules
