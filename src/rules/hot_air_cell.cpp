// Hot air does not blow beside a cell that is connected: what can be shrunk before is shrunk before.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/board_work.h"
#include "rules/cell.h"
#include "rules/matter.h"
#include "rules/named.h"
#include "rules/rules.h"
#include "rules/said_between.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

bool blows(const Facts& facts, const job::Step& step) {
  return step.process.text == "heat-shrink" || (step.process.text == "hand-solder" && std::any_of(step.tools.begin(), step.tools.end(), [&](const job::ToolUse& t) { return hot_air(facts, t); }));
}

/// The cell is out, or something stands between it and the air.
bool says_spared(const job::Step& step) {
  constexpr std::array<std::string_view, 7> kWords{"shield", "cover the cell", "away from the cell", "off the cell", "cell covered", "heat mat", "foil over"};
  return says_out(step) || says_one_of(kWords, step_words(step));
}

/// The cells that the step connects.
std::vector<PartId> cells_of(const Facts& facts, const job::Step& joins) {
  std::vector<PartId> cells;
  for (const job::Part& part : facts.job.parts) {
    if (!part.jig && marked(facts, part.id, "cell") && names(joins, part.id)) cells.push_back(part.id);
  }
  return cells;
}

/// One body carries both by then.
bool side_by_side(const Facts& facts, const PartId& a, const PartId& b, const job::Step& by) {
  std::vector<PartId> of_a = sits_in(facts, a, by), of_b = sits_in(facts, b, by);
  of_b.push_back(b);
  return std::any_of(of_a.begin(), of_a.end(), [&](const PartId& id) { return has(of_b, id); });
}

/// A joint under the sleeve is made by the step that connects the cell, or after it: the air comes late for a reason.
bool made_late(const Facts& facts, const KnownOrder& order, const job::Step& joins, const job::Step& blow, const PartId& part) {
  constexpr std::array<std::string_view, 4> kJoining{"hand-solder", "crimp", "wire", "plug"};
  if (blow.process.text != "heat-shrink") return true;
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    const bool joint = std::find(kJoining.begin(), kJoining.end(), s.process.text) != kJoining.end() || puts_in(s, part);
    return joint && names(s, part) && !order.before(s.id, joins.id);
  });
}

}  // namespace

void hot_air_cell(const Facts& facts, const KnownOrder& order, const job::Step& blow, Yield& yield) {
  if (!blows(facts, blow) || blow.on.empty() || blow.on.text == "unit") return;
  for (const job::Step& joins : facts.job.steps) {
    if (&joins == &blow || !connects_a_cell(facts, joins) || !order.before(joins.id, blow.id) || said_to_follow(blow, joins)) continue;
    for (const PartId& cell : cells_of(facts, joins)) {
      const bool of_the_cell = names(blow, cell) || made_late(facts, order, joins, blow, blow.on);
      if (of_the_cell || !side_by_side(facts, blow.on, cell, blow) || said_between(facts, order, joins, blow, &says_spared)) continue;
      auto f = finding("hot-air-cell", plan::Severity::warn, blow, fmt::format("{} blows hot air beside {}, which {} has connected: it bears little heat, and burns", say(blow), facts.name(cell), say(joins)),
                       fmt::format("list it before {}; or take the cell out for it, or shield it, and say so in an action", say(joins)), practice());
      f.steps.push_back(joins.id);
      f.parts = {cell};
      yield.findings.push_back(std::move(f));
      return;
    }
  }
}

}  // namespace handlot::rules
