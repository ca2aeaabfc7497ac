// Once a cell is connected, the board under the iron or in the bath is live.
#include <fmt/format.h>

#include <algorithm>

#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

/// The step connects a cell: its plug goes in, its leads are soldered or wired, or it is set into a holder on the board.
bool connects(const Facts& facts, const job::Step& step) {
  const bool joins = step.process.text == "plug" || step.process.text == "wire" || step.process.text == "hand-solder";
  const bool puts_in = std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return marked(facts, i.part, "cell"); });
  const bool named = puts_in || marked(facts, step.on, "cell") || std::any_of(step.touches.begin(), step.touches.end(), [&](const PartId& p) { return marked(facts, p, "cell"); });
  return joins && named;
}

bool wets(const job::Step& step) { return step.process.text == "wash" || step.process.text == "clean-flux" || step.process.text == "coat-board"; }

/// The board that both work on, or that one of them reaches by name.
bool same_board(const Facts& facts, const job::Step& a, const job::Step& b) {
  const std::set<PartId> mine = worked_on(facts, a), theirs = worked_on(facts, b);
  return std::any_of(mine.begin(), mine.end(), [&](const PartId& p) { return theirs.contains(p) && marked(facts, p, "board"); });
}

}  // namespace

void cell_last(const Facts& facts, const KnownOrder& order, const job::Step& work, Yield& yield) {
  const bool iron = work.process.text == "hand-solder" || work.process.text == "reflow" || work.process.text == "desolder";
  if ((!iron && !wets(work)) || work.on.text == "unit") return;
  for (const job::Step& joins : facts.job.steps) {
    if (&joins == &work || !connects(facts, joins) || !order.before(joins.id, work.id) || !same_board(facts, joins, work)) continue;
    const bool water = work.process.text == "wash";
    yield.findings.push_back(finding("cell-last", water ? plan::Severity::stop : plan::Severity::warn, work,
                                     fmt::format("{} connects a cell, and {} {} the board while it is live", say(joins), say(work), iron ? "goes to" : water ? "washes" : "wets"),
                                     fmt::format("do {} before {}, or take the cell off for it", say(work), say(joins)), practice()));
    return;
  }
}

}  // namespace handlot::rules
