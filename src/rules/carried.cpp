// Oil, wax and silicone travel: by the tool that two steps share, by the jig that holds both, by the gloves.
#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "carried";

/// A tool that keeps what it touched. One without a card is taken to: only its owner knows it.
bool keeps(const Facts& facts, const job::ToolUse& tool) {
  return tool.card.empty() || facts.card(tool.card).yes("carries");
}

std::string name_of(const Facts& facts, const job::ToolUse& tool) {
  return tool.card.empty() ? tool.name : facts.card(tool.card).name;
}

/// The names of what both steps take in hand: tools, and fixtures that clamp the work.
std::vector<std::string> shared(const Facts& facts, const job::Step& dirty, const job::Step& bond) {
  std::vector<std::string> names;
  for (const job::ToolUse& a : dirty.tools) {
    for (const job::ToolUse& b : bond.tools) {
      if (a.card == b.card && a.name == b.name && keeps(facts, a)) names.push_back(name_of(facts, a));
    }
  }
  for (const job::Holds& a : dirty.holds) {
    for (const job::Holds& b : bond.holds) {
      if (a.fixture != b.fixture) continue;
      const job::Fixture* fixture = facts.job.fixture(a.fixture);
      names.push_back(fixture == nullptr || fixture->name.empty() ? a.fixture.text : fixture->name);
    }
  }
  std::sort(names.begin(), names.end());
  names.erase(std::unique(names.begin(), names.end()), names.end());
  return names;
}

/// An action that speaks of the thing and of cleaning or changing it.
bool cleaned(const job::Step& step, const std::string& thing) {
  const std::string first = lower(thing.substr(0, thing.find_first_of(" ,")));
  return std::any_of(step.actions.begin(), step.actions.end(), [&](const std::string& action) {
    const std::string line = lower(action);
    const auto says = [&](std::string_view word) { return line.find(word) != std::string::npos; };
    return says(first) && (says("wipe") || says("clean") || says("wash") || says("fresh") || says("new ") || says("change"));
  });
}

/// What may come after it with the same gloves on: a step that needs bare faces and does not always come before.
bool meets_a_bare_face(const Facts& facts, const KnownOrder& order, const job::Step& dirty) {
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& later) {
    const bool never = facts.job.units == 1 && order.before(later.id, dirty.id);
    return &later != &dirty && !never && !bare_for(facts, later).empty();
  });
}

/// Lacquer dries on a glove; oil, wax and silicone go on to whatever is touched next.
void gloves(const Facts& facts, const KnownOrder& order, const job::Step& dirty, const std::string& what, Yield& yield) {
  if (what == "lacquer" || cleaned(dirty, "gloves") || cleaned(dirty, "hands") || !meets_a_bare_face(facts, order, dirty)) return;
  yield.hints.push_back({dirty.id, {RuleId(std::string(kRule)), fmt::format("Gloves off after it: {} on them spoils the next face that is glued or soldered", what), practice()}});
}

}  // namespace

void carried(const Facts& facts, const KnownOrder& order, const job::Step& dirty, Yield& yield) {
  const std::string what = left_by(facts, dirty);
  if (!spoils_bonds(what)) return;
  gloves(facts, order, dirty, what, yield);
  for (const job::Step& bond : facts.job.steps) {
    if (&bond == &dirty || bare_for(facts, bond).empty()) continue;
    const bool after = order.before(bond.id, dirty.id);
    for (const std::string& thing : shared(facts, dirty, bond)) {
      if (cleaned(dirty, thing) || cleaned(bond, thing)) continue;
      // Bonded first, this unit is safe; the next one of the lot meets what the last one left.
      if (after && facts.job.units == 1) continue;
      auto f = finding(kRule, after ? plan::Severity::note : plan::Severity::warn, bond,
                       fmt::format("{} and {} both use the {}: {} travels with it to the face{}", say(dirty), say(bond), thing, what, after ? " of the next unit" : ""),
                       fmt::format("keep one of its own for {}, or clean it and write that as an action of one of the two", what), practice());
      f.steps.push_back(dirty.id);
      yield.findings.push_back(std::move(f));
    }
  }
}

}  // namespace handlot::rules
