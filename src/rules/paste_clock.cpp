// Printed paste dries: parts are placed and the board is in the oven before it does.
#include <fmt/format.h>

#include "core/text.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

void latest(const Facts& facts, const job::Step& print, const job::Step& later, std::string_view figure, std::string_view what, Yield& yield) {
  for (const job::MaterialUse& use : print.materials) {
    const catalogue::Card& paste = facts.card(use.card);
    if (paste.kind != catalogue::CardKind::paste) continue;
    const auto limit = paste.get<Duration>(figure);
    if (!limit) continue;
    plan::Constraint link = before(print, later, reason(plan::ReasonKind::paste, "paste-clock", fmt::format("printed {} must be {} within {}", paste.name, what, in_words(limit->low)), limit->source, limit->place));
    link.from.edge = plan::Edge::start;
    link.to.edge = later.process.text == "reflow" ? plan::Edge::start : plan::Edge::end;
    link.max = limit->low;
    link.clock = fmt::format("printed paste dries: {}", what);
    link.if_late = "wash the board and print it again: dried paste does not wet, and parts fall off";
    yield.links.push_back(std::move(link));
  }
}

}  // namespace

void paste_clock(const Facts& facts, const job::Step& print, const job::Step& later, Yield& yield) {
  if (print.process.text != "print-paste" || !same_or_within(facts, print.on, later.on) || &later < &print) return;
  if (later.process.text == "place") latest(facts, print, later, "print-to-place", "covered with its parts", yield);
  if (later.process.text == "reflow") latest(facts, print, later, "print-to-reflow", "in the oven", yield);
}

}  // namespace handlot::rules
