// Once a cell is connected, the board under the iron or in the bath is live.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/board_work.h"
#include "rules/cell.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

bool irons(const job::Step& step) { return step.process.text == "hand-solder" || step.process.text == "reflow" || step.process.text == "desolder"; }

bool wets(const job::Step& step) { return step.process.text == "wash" || step.process.text == "clean-flux" || step.process.text == "coat-board"; }

/// The boards that the step reaches: by name, or under the parts that it works on, as they stand at step `when`.
std::set<PartId> boards_of(const Facts& facts, const job::Step& step, const job::Step& when) {
  std::set<PartId> boards;
  for (const PartId& part : worked_on(facts, step)) {
    if (marked(facts, part, "board")) boards.insert(part);
  }
  std::vector<PartId> named = step.touches;
  named.push_back(step.on);
  for (const PartId& part : named) {
    if (const job::Part* board = board_under(facts, part, when)) boards.insert(board->id);
  }
  return boards;
}

bool same_board(const Facts& facts, const job::Step& joins, const job::Step& work) {
  std::set<PartId> mine = boards_of(facts, joins, joins);
  // Its holder may come on the board with it.
  if (std::any_of(work.installs.begin(), work.installs.end(), [&](const job::Installs& i) { return i.part == joins.on; })) mine.merge(boards_of(facts, work, work));
  mine.merge(boards_of(facts, joins, work));
  const std::set<PartId> theirs = boards_of(facts, work, work);
  return std::any_of(mine.begin(), mine.end(), [&](const PartId& board) { return theirs.contains(board); });
}

bool says_off(const job::Step& step) {
  constexpr std::array<std::string_view, 11> kWords{"unplug", "disconnect", "cell out", "cells out", "battery out", "cell off", "take the cell", "take out the cell", "remove the cell", "without the cell", "remove the battery"};
  return says_one_of(kWords, step_words(step));
}

/// The cell was taken off again for the work: a step says so in its words.
bool off_again(const Facts& facts, const KnownOrder& order, const job::Step& joins, const job::Step& work) {
  return says_off(work) || std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return says_off(s) && order.before(joins.id, s.id) && order.before(s.id, work.id); });
}

}  // namespace

bool connects_a_cell(const Facts& facts, const job::Step& step) {
  const auto cell = [&](const PartId& p) { return marked(facts, p, "cell"); };
  const auto puts_in = [&](const job::Installs& i) { return cell(i.part); };
  const auto sets_in = [&](const job::Installs& i) { return cell(i.part) && !marked(facts, i.part, "fragile"); };
  const std::string process = step.process.text;
  const bool joins = process == "plug" || process == "wire" || process == "hand-solder";
  if (joins) return cell(step.on) || std::any_of(step.touches.begin(), step.touches.end(), cell) || std::any_of(step.installs.begin(), step.installs.end(), puts_in);
  return step.bonds.empty() && facts.process(step).word_or("class") == "build" && std::any_of(step.installs.begin(), step.installs.end(), sets_in);
}

void cell_last(const Facts& facts, const KnownOrder& order, const job::Step& work, Yield& yield) {
  const bool iron = irons(work), water = work.process.text == "wash";
  // The second lead of a cell, or the next cell, is no work on a board that is done.
  if ((!iron && !wets(work)) || work.on.text == "unit" || connects_a_cell(facts, work)) return;
  for (const job::Step& joins : facts.job.steps) {
    if (&joins == &work || !connects_a_cell(facts, joins) || !order.before(joins.id, work.id) || !same_board(facts, joins, work) || off_again(facts, order, joins, work)) continue;
    yield.findings.push_back(finding("cell-last", water ? plan::Severity::stop : plan::Severity::warn, work,
                                     fmt::format("{} connects a cell, and {} {} the board while it is live", say(joins), say(work), iron ? "goes to" : water ? "washes" : "wets"),
                                     fmt::format("do {} before {}, or take the cell off for it and say so in an action", say(work), say(joins)), practice()));
    return;
  }
}

}  // namespace handlot::rules
