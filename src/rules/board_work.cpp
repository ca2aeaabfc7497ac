#include "rules/board_work.h"

#include <algorithm>

#include "rules/matter.h"
#include "rules/saying.h"

namespace handlot::rules {

std::vector<const job::Step*> placings_of(const Facts& facts, const PartId& part) {
  std::vector<PartId> bodies = facts.job.around(part);
  bodies.insert(bodies.begin(), part);
  std::vector<const job::Step*> found;
  for (const job::Step& s : facts.job.steps) {
    if (s.process.text != "place") continue;
    const bool puts_in = std::any_of(s.installs.begin(), s.installs.end(), [&](const job::Installs& i) { return has(bodies, i.part); });
    if (puts_in) found.push_back(&s);
  }
  return found;
}

std::vector<const job::Step*> ovens_on(const Facts& facts, const PartId& board) { return steps_of(facts, "reflow", board); }

std::vector<const job::Step*> ovens_after(const Facts& facts, const job::Step& placing) {
  const std::vector<const job::Step*> ovens = ovens_on(facts, placing.on), placings = steps_of(facts, "place", placing.on);
  if (ovens.size() != placings.size()) return ovens;
  const auto nth = std::find(placings.begin(), placings.end(), &placing) - placings.begin();
  return {ovens.begin() + nth, ovens.end()};
}

bool sides_meet(const job::Step& a, const job::Step& b) { return a.side.empty() || b.side.empty() || a.side == b.side; }

std::vector<PartId> soldered_by(const Facts& facts, const job::Step& oven) {
  std::vector<PartId> parts;
  for (const job::Step* placing : steps_of(facts, "place", oven.on)) {
    const auto ovens = ovens_after(facts, *placing);
    if (std::find(ovens.begin(), ovens.end(), &oven) == ovens.end()) continue;
    for (const job::Installs& i : placing->installs) {
      for (const PartId& inside : facts.job.within(i.part)) parts.push_back(inside);
    }
  }
  return parts;
}

const job::Part* board_of(const Facts& facts, const PartId& body) {
  const job::Part* board = nullptr;
  for (const PartId& id : facts.job.within(body)) {
    if (facts.card_of(id).yes("board")) board = facts.job.part(id);
  }
  return board;
}

const catalogue::Card* used_card(const Facts& facts, const job::Step& step, catalogue::CardKind kind) {
  for (const job::MaterialUse& use : step.materials) {
    const catalogue::Card& card = facts.card(use.card);
    if (card.kind == kind) return &card;
  }
  return nullptr;
}

const catalogue::Card* paste_of(const Facts& facts, const job::Step& oven) {
  if (const auto* own = used_card(facts, oven, catalogue::CardKind::paste)) return own;
  const catalogue::Card* last = nullptr;
  for (const job::Step* print : steps_of(facts, "print-paste", oven.on)) {
    const auto* paste = used_card(facts, *print, catalogue::CardKind::paste);
    if (paste != nullptr && (last == nullptr || print < &oven)) last = paste;
  }
  return last;
}

}  // namespace handlot::rules
