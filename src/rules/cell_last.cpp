// Once a cell is connected, the board under the iron or in the bath is live.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
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

bool irons(const job::Step& step) { return step.process.text == "hand-solder" || step.process.text == "reflow" || step.process.text == "desolder"; }

bool wets(const job::Step& step) { return step.process.text == "wash" || step.process.text == "clean-flux" || step.process.text == "coat-board"; }

/// The parts that the words of a plugging name, beside the cell: "Plug it into the battery socket".
std::vector<PartId> named_in_words(const Facts& facts, const job::Step& step) {
  std::vector<PartId> named;
  const std::string words = step_words(step);
  for (const job::Part& part : facts.job.parts) {
    if (step.process.text == "plug" && !part.jig && !marked(facts, part.id, "cell") && says_word(lower(called(part)), words)) named.push_back(part.id);
  }
  return named;
}

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
  if (!boards.empty()) return boards;
  for (const PartId& part : named_in_words(facts, step)) {
    if (marked(facts, part, "board")) boards.insert(part);
    if (const job::Part* board = board_under(facts, part, when)) boards.insert(board->id);
  }
  return boards;
}

bool same_board(const Facts& facts, const job::Step& joins, const job::Step& work) {
  std::set<PartId> mine = boards_of(facts, joins, joins);
  // Its holder may come on the board with it.
  if (puts_in(work, joins.on)) mine.merge(boards_of(facts, work, work));
  mine.merge(boards_of(facts, joins, work));
  const std::set<PartId> theirs = boards_of(facts, work, work);
  return std::any_of(mine.begin(), mine.end(), [&](const PartId& board) { return theirs.contains(board); });
}

bool says_off(const job::Step& step) {
  constexpr std::array<std::string_view, 3> kWords{"unplug", "disconnect", "cell off"};
  return says_out(step) || says_one_of(kWords, step_words(step));
}

/// Plugged into something, and the step names no more than the cell.
bool plugs_somewhere(const Facts& facts, const job::Step& joins) {
  constexpr std::array<std::string_view, 6> kElsewhere{"charger", "charge ", "meter", "tester", "dummy", "load"};
  const auto cell_or_nothing = [&](const PartId& id) { return marked(facts, id, "cell"); };
  return joins.process.text == "plug" && marked(facts, joins.on, "cell") && std::all_of(joins.touches.begin(), joins.touches.end(), cell_or_nothing) && !says_one_of(kElsewhere, step_words(joins));
}

/// Surely before; or, where the step of the plug stands at the cell and so is tied to no board by the listing, as the plan has them.
bool stands_before(const Facts& facts, const KnownOrder& order, const job::Step& joins, const job::Step& work) {
  if (order.before(joins.id, work.id)) return true;
  if (order.before(work.id, joins.id) || !plugs_somewhere(facts, joins)) return false;
  const auto all = order.sequence();
  return std::find(all.begin(), all.end(), joins.id) < std::find(all.begin(), all.end(), work.id);
}

/// Nothing says which board the cell is on.
plan::Finding which_board(const Facts& facts, const job::Step& joins, const job::Step& work, const PartId& board) {
  auto f = finding("cell-last", plan::Severity::undecided, work, fmt::format("{} plugs {} in and names no board, and {} works on {} after it: live, if it is that one", say(joins), facts.name(joins.on), say(work), facts.name(board)),
                   fmt::format("name the board or its socket in an action of {} or in its touches=\"...\"; or do {} before it", say(joins), say(work)), stated());
  f.steps.push_back(joins.id);
  return f;
}

}  // namespace

bool says_out(const job::Step& step) {
  constexpr std::array<std::string_view, 8> kWords{"cell out", "cells out", "battery out", "take the cell", "take out the cell", "remove the cell", "without the cell", "remove the battery"};
  return says_one_of(kWords, step_words(step));
}

bool out_again(const Facts& facts, const KnownOrder& order, const job::Step& joins, const job::Step& work) { return said_between(facts, order, joins, work, &says_out); }

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
  const std::set<PartId> boards = boards_of(facts, work, work);
  const job::Step* somewhere = nullptr;
  for (const job::Step& joins : facts.job.steps) {
    if (&joins == &work || !connects_a_cell(facts, joins) || !stands_before(facts, order, joins, work) || said_between(facts, order, joins, work, &says_off)) continue;
    if (!same_board(facts, joins, work)) {
      if (!boards.empty() && plugs_somewhere(facts, joins) && boards_of(facts, joins, work).empty()) somewhere = &joins;
      continue;
    }
    yield.findings.push_back(finding("cell-last", water ? plan::Severity::stop : plan::Severity::warn, work,
                                     fmt::format("{} connects a cell, and {} {} the board while it is live", say(joins), say(work), iron ? "goes to" : water ? "washes" : "wets"),
                                     fmt::format("do {} before {}, or take the cell off for it and say so in an action", say(work), say(joins)), practice()));
    return;
  }
  if (somewhere != nullptr) yield.findings.push_back(which_board(facts, *somewhere, work, *boards.begin()));
}

}  // namespace handlot::rules
