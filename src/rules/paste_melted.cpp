// What is printed is melted: by a run of the oven after it, with the melting point of the paste that was printed, one side of the
// board after the other.
#include <fmt/format.h>

#include <algorithm>

#include "rules/board_work.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "paste-melted";
constexpr std::string_view kPlaced = "placed-in-paste";

/// A later soldering by hand that names one of the placed parts, or none at all, so that it may be meant for them.
bool soldered_by_hand(const Facts& facts, const KnownOrder& order, const job::Step& place) {
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    if (s.process.text != "hand-solder" || order.before(s.id, place.id)) return false;
    const std::set<PartId> reached = worked_on(facts, s);
    const bool names_one = std::any_of(place.installs.begin(), place.installs.end(), [&](const job::Installs& i) {
      const std::vector<PartId> inside = facts.job.within(i.part);
      return std::any_of(inside.begin(), inside.end(), [&](const PartId& id) { return reached.contains(id); });
    });
    return names_one || (s.installs.empty() && same_or_within(facts, s.on, place.on));
  });
}

/// The runs without those once more, where a joint failed: nothing was printed for them since the run before.
std::vector<const job::Step*> runs_for(const std::vector<const job::Step*>& prints, const std::vector<const job::Step*>& ovens) {
  if (ovens.size() <= prints.size()) return ovens;
  std::vector<const job::Step*> found;
  for (std::size_t i = 0; i < ovens.size(); ++i) {
    if (i == 0 || std::any_of(prints.begin(), prints.end(), [&](const job::Step* print) { return ovens[i - 1] < print && print < ovens[i]; })) found.push_back(ovens[i]);
  }
  return found;
}

/// All say their sides, and one of the runs is for the side that is printed.
bool has_its_own_side(const std::vector<const job::Step*>& prints, const std::vector<const job::Step*>& ovens, const job::Step& print) {
  return sides_said(prints) && sides_said(ovens) && std::any_of(ovens.begin(), ovens.end(), [&](const job::Step* oven) { return oven->side == print.side; });
}

}  // namespace

void paste_melted(const Facts& facts, const job::Step& print, Yield& yield) {
  if (print.process.text != "print-paste" || print.on.empty()) return;
  const auto ovens = ovens_on(facts, print.on);
  if (std::any_of(ovens.begin(), ovens.end(), [&](const job::Step* oven) { return sides_meet(print, *oven); })) return;
  yield.findings.push_back(finding(kRule, plan::Severity::stop, print, fmt::format("what {} prints is never melted: no run of the oven on {} is there for it", say(print), facts.name(print.on)),
                                   "add a step of process reflow on the board, for the side that is printed", practice()));
}

void paste_as_melted(const Facts& facts, const job::Step& oven, Yield& yield) {
  if (oven.process.text != "reflow") return;
  const catalogue::Card* melts = used_card(facts, oven, catalogue::CardKind::paste);
  if (melts == nullptr) return;
  std::vector<const catalogue::Card*> printed;
  for (const job::Step* print : steps_of(facts, "print-paste", oven.on)) {
    const auto* paste = used_card(facts, *print, catalogue::CardKind::paste);
    if (paste != nullptr && sides_meet(*print, oven)) printed.push_back(paste);
  }
  if (printed.empty() || std::any_of(printed.begin(), printed.end(), [&](const catalogue::Card* p) { return p->id == melts->id; })) return;
  const auto profile = melts->get<Celsius>("peak"), liquidus = printed.front()->get<Celsius>("liquidus");
  const bool too_cold = profile && liquidus && profile->high < liquidus->high;
  yield.findings.push_back(finding("paste-as-melted", too_cold ? plan::Severity::stop : plan::Severity::warn, oven,
                                   fmt::format("{} runs by the profile of {}, and the board is printed with {}{}", say(oven), melts->name, printed.front()->name, too_cold ? ", which does not melt at it" : ""),
                                   "name the same paste at the print and in the oven", liquidus ? liquidus->source : stated()));
}

void placed_in_paste(const Facts& facts, const KnownOrder& order, const job::Step& place, Yield& yield) {
  if (place.process.text != "place" || place.installs.empty() || !place.bonds.empty() || place.on.text == "unit") return;
  const auto prints = steps_of(facts, "print-paste", place.on), ovens = ovens_on(facts, place.on);
  if (prints.empty() || ovens.empty() || soldered_by_hand(facts, order, place)) return;
  const std::string board = facts.name(place.on);
  if (std::none_of(prints.begin(), prints.end(), [&](const job::Step* print) { return sides_meet(*print, place); })) {
    yield.findings.push_back(finding(kPlaced, plan::Severity::stop, place, fmt::format("{} sets parts on the {} of {}, and paste is printed on its {} only", say(place), place.side, board, prints.front()->side),
                                     fmt::format("write side=\"{}\" at the print that belongs to it, or add one", place.side), practice()));
    return;
  }
  if (std::any_of(ovens.begin(), ovens.end(), [&](const job::Step* oven) { return sides_meet(*oven, place) && !order.before(oven->id, place.id); })) return;
  yield.findings.push_back(finding(kPlaced, plan::Severity::stop, place, fmt::format("what {} sets on {} is never melted: no run of the oven comes after it for that side", say(place), board),
                                   "list it before the oven, add a run of its own, or solder its parts by hand in a step that names them", practice()));
}

void one_side_at_a_time(const Facts& facts, const job::Step& oven, const job::Step& print, Yield& yield) {
  if (oven.process.text != "reflow" || print.process.text != "print-paste" || !same_or_within(facts, oven.on, print.on)) return;
  const auto prints = steps_of(facts, "print-paste", print.on);
  const auto ovens = runs_for(prints, ovens_on(facts, print.on));
  if (ovens.front() != &oven || (ovens.size() != prints.size() && !has_its_own_side(prints, ovens, print))) return;
  const bool sides_told = !oven.side.empty() && !print.side.empty();
  const bool next = sides_told ? oven.side != print.side : oven.side.empty() && print.side.empty() && prints.size() == 2 && prints.back() == &print;
  if (!next) return;
  yield.links.push_back(before(oven, print, reason(plan::ReasonKind::process, "one-side-at-a-time", "one side is soldered before the other is printed: turned over, its parts would lie loose in wet paste", practice(), print.place)));
}

}  // namespace handlot::rules
