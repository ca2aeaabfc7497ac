// board_work.h: the soldering of one board, step by step: what is placed before which run of the oven.
#pragma once

#include <optional>
#include <vector>

#include "rules/rule.h"

namespace handlot::rules {

/// The steps that put the part, or a subassembly around it, into wet paste; as listed.
std::vector<const job::Step*> placings_of(const Facts& facts, const PartId& part);

/// The runs of the oven that a part set in by `placing` goes through, first one first: its own and those listed after that. Its own
/// is the n-th, with as many placings as runs, on its side where sides are said, else the first on that side. Where no sides are said
/// and the counts differ, it meets every run.
std::vector<const job::Step*> ovens_after(const Facts& facts, const job::Step& placing);

/// All runs of the oven on the same board, as listed.
std::vector<const job::Step*> ovens_on(const Facts& facts, const PartId& board);

/// Both work on one side of a board, or one of them does not say on which.
bool sides_meet(const job::Step& a, const job::Step& b);

/// Each of them says on which side of the board it works.
bool sides_said(const std::vector<const job::Step*>& steps);

/// The parts set into paste for this run of the oven or an earlier one.
std::vector<PartId> soldered_by(const Facts& facts, const job::Step& oven);

/// Blows hot air: by its card, or by its name where it has none.
bool hot_air(const Facts& facts, const job::ToolUse& tool);

/// The bare board in a body, the last one where there are more; null: none.
const job::Part* board_of(const Facts& facts, const PartId& body);

/// The board that a step listed before `by` set the part on; null: none, the part lies by itself.
const job::Part* board_under(const Facts& facts, const PartId& part, const job::Step& by);

/// What the step works on by its `on`, with the board under it. Resin runs round what the bonds of its step name and what it hides
/// as well.
std::vector<PartId> bodies_of(const Facts& facts, const job::Step& step);

/// It works on a board, a body with one in it, or a part that sits on one: not on a mast that is put together with solder.
bool of_a_board(const Facts& facts, const job::Step& step);

/// In the oven or by hand.
bool solders(const job::Step& step);

/// Both work on one body: on the same, on one within the other, or on a part and the board that it sits on by then.
bool on_one_body(const Facts& facts, const job::Step& a, const job::Step& b);

/// The run of the oven that melts what `print` puts on: the n-th of as many on its side, else the first listed after it. Null:
/// none.
const job::Step* oven_of(const Facts& facts, const job::Step& print);

/// The card of the kind that the step uses, or null.
const catalogue::Card* used_card(const Facts& facts, const job::Step& step, catalogue::CardKind kind);

/// The paste that the run of the oven melts: its own, or that of the print on the same board.
const catalogue::Card* paste_of(const Facts& facts, const job::Step& oven);

}  // namespace handlot::rules
