// Between print and oven paste lies wet on the board: only placing and looking are done then, and it is not turned over.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/board_work.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "wet-paste";

bool spoils_paste(const job::Step& s) {
  constexpr std::array<std::string_view, 5> kSpoiling{"wash", "clean-flux", "clean", "degrease", "bake"};
  return std::find(kSpoiling.begin(), kSpoiling.end(), s.process.text) != kSpoiling.end();
}

/// Works on the side that faces down while the paste lies on the other; its own paste is another rule's business.
bool turns_over(const job::Step& print, const job::Step& s) {
  constexpr std::array<std::string_view, 3> kOwnPaste{"print-paste", "place", "reflow"};
  return !s.side.empty() && !print.side.empty() && s.side != print.side && std::find(kOwnPaste.begin(), kOwnPaste.end(), s.process.text) == kOwnPaste.end();
}

/// On the board itself or the body that it is built into first: what lies further out is not there yet.
bool on_that_board(const Facts& facts, const job::Step& print, const job::Step& work) {
  const std::vector<PartId> around = facts.job.around(print.on);
  return work.on == print.on || (!around.empty() && work.on == around.front());
}

}  // namespace

void wet_paste(const Facts& facts, const job::Step& print, const job::Step& work, Yield& yield) {
  const bool turns = turns_over(print, work);
  if (print.process.text != "print-paste" || (!turns && !spoils_paste(work)) || !on_that_board(facts, print, work)) return;
  const job::Step* oven = oven_of(facts, print);
  if (oven == nullptr) return;
  const std::string text = fmt::format("from {} to {} paste lies wet on {}, and {} would {}", say(print), say(*oven), facts.name(print.on), say(work), turns ? "turn it over" : work.process.text == "bake" ? "dry it" : "take it off");
  const auto link = [&](const job::Step& a, const job::Step& b) { return before(a, b, reason(plan::ReasonKind::paste, kRule, text, practice(), work.place)); };
  // Listed after the oven, it is meant for the soldered board.
  if (oven < &work) {
    yield.links.push_back(link(*oven, work));
    return;
  }
  std::vector<std::vector<plan::Constraint>> options{{link(*oven, work)}, {link(work, print)}};
  prefer_listed(facts, options);
  at_least_one(yield, kRule, std::move(options), text, work.place);
}

}  // namespace handlot::rules
