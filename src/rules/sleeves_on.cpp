// A sleeve is on the wire before both ends of the wire are made.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

bool names(const job::Step& step, const PartId& part) {
  return step.on == part || has(step.touches, part) || std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return i.part == part; });
}

/// Fixes an end of the wire, so that nothing is pushed over that end any more.
bool makes_an_end(const job::Step& step, const PartId& wire) {
  constexpr std::array<std::string_view, 3> kEnds{"hand-solder", "crimp", "wire"};
  return std::find(kEnds.begin(), kEnds.end(), step.process.text) != kEnds.end() && names(step, wire);
}

/// What the wire is joined to by the step.
std::set<PartId> joined_to(const Facts& facts, const job::Step& step) {
  std::set<PartId> bodies(step.touches.begin(), step.touches.end());
  bodies.insert(step.on);
  std::erase_if(bodies, [&](const PartId& id) { return id.empty() || is_wire(facts, id); });
  return bodies;
}

/// A jack has a sleeve too: what is pushed, slid or threaded on is the one that is meant.
bool speaks_of_sleeves(const job::Step& step) {
  constexpr std::array<std::string_view, 5> kVerbs{"push", "slid", "slip", "thread", "pull"};
  return std::any_of(step.actions.begin(), step.actions.end(), [&](const std::string& action) {
    const std::string line = lower(action);
    const auto says = [&](std::string_view word) { return line.find(word) != std::string::npos; };
    return (says("sleeve") || says("shrink")) && std::any_of(kVerbs.begin(), kVerbs.end(), says);
  });
}

}  // namespace

void sleeves_on(const Facts& facts, const KnownOrder& order, const job::Step& shrink, Yield& yield) {
  if (shrink.process.text != "heat-shrink" || shrink.installs.empty() || !is_wire(facts, shrink.on)) return;
  std::size_t ends = 0;
  std::string last;
  for (const job::Step& s : facts.job.steps) {
    const bool laid_ready = std::any_of(shrink.installs.begin(), shrink.installs.end(), [&](const job::Installs& i) { return names(s, i.part); });
    if (&s != &shrink && laid_ready) return;
    if (!makes_an_end(s, shrink.on)) continue;
    if (!order.before(s.id, shrink.id) || speaks_of_sleeves(s)) return;  // an end is free yet, or the sleeve is on
    ends += joined_to(facts, s).size();
    last = say(s);
  }
  if (ends < 2) return;
  const PartId& sleeve = shrink.installs.front().part;
  auto f = finding("sleeves-on", plan::Severity::undecided, shrink,
                   fmt::format("{} puts {} on {} when both its ends are made ({}): no step says that they are on it before", say(shrink), facts.name(sleeve), facts.name(shrink.on), last),
                   fmt::format("write into the step that makes the last end: <do>Push the sleeve on</do>; or shrink before {}", last), practice());
  f.parts = {sleeve};
  yield.findings.push_back(std::move(f));
}

}  // namespace handlot::rules
