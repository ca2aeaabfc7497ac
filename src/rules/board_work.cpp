#include "rules/board_work.h"

#include <algorithm>

#include "core/text.h"
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

bool sides_said(const std::vector<const job::Step*>& steps) {
  return std::none_of(steps.begin(), steps.end(), [](const job::Step* s) { return s->side.empty(); });
}

std::vector<const job::Step*> ovens_on(const Facts& facts, const PartId& board) { return steps_of(facts, "reflow", board); }

std::vector<const job::Step*> ovens_after(const Facts& facts, const job::Step& placing) {
  const std::vector<const job::Step*> ovens = ovens_on(facts, placing.on), placings = steps_of(facts, "place", placing.on);
  std::vector<const job::Step*> own = ovens, alike = placings;
  const bool any_said = std::any_of(ovens.begin(), ovens.end(), [](const job::Step* s) { return !s->side.empty(); });
  if (sides_said(placings) && any_said) {
    for (auto* steps : {&own, &alike}) std::erase_if(*steps, [&](const job::Step* s) { return !sides_meet(*s, placing); });
  } else if (ovens.size() != placings.size()) {
    return ovens;
  }
  if (own.empty()) return ovens;
  const auto nth = std::find(alike.begin(), alike.end(), &placing) - alike.begin();
  // A run that names no side, such as a repeat, is for both: the first that is listed after the placing is the one.
  const auto next = std::find_if(own.begin(), own.end(), [&](const job::Step* s) { return &placing < s; });
  const job::Step* first = own.size() == alike.size() ? own[static_cast<std::size_t>(nth)] : next != own.end() ? *next : own.front();
  return {std::find(ovens.begin(), ovens.end(), first), ovens.end()};
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

bool hot_air(const Facts& facts, const job::ToolUse& tool) {
  if (!tool.card.empty()) return facts.card(tool.card).word_or("form") == "nozzle" && facts.card(tool.card).yes("hot");
  const std::string name = lower(tool.name);
  return name.find("hot air") != std::string::npos || name.find("hot-air") != std::string::npos || name.find("heat gun") != std::string::npos;
}

const job::Part* board_of(const Facts& facts, const PartId& body) {
  const job::Part* board = nullptr;
  for (const PartId& id : facts.job.within(body)) {
    if (facts.card_of(id).yes("board")) board = facts.job.part(id);
  }
  return board;
}

const job::Part* board_under(const Facts& facts, const PartId& part, const job::Step& by) {
  std::vector<PartId> bodies = facts.job.around(part);
  bodies.insert(bodies.begin(), part);
  for (const PartId& body : bodies) {
    const job::Step* in = facts.job.installer(body);
    if (in == nullptr || in >= &by || in->on == body) continue;
    const bool solders = in->process.text == "place" || in->process.text == "hand-solder";
    const job::Part* board = solders || facts.card_of(in->on).yes("board") ? board_of(facts, in->on) : nullptr;
    if (board != nullptr && board->id != part) return board;
  }
  return nullptr;
}

std::vector<PartId> bodies_of(const Facts& facts, const job::Step& step) {
  std::vector<PartId> bodies;
  if (!step.on.empty()) bodies.push_back(step.on);
  if (step.process.text == "pot") {
    for (const JointId& id : step.bonds) {
      const std::vector<PartId>& members = facts.job.joint(id)->between;
      bodies.insert(bodies.end(), members.begin(), members.end());
    }
    bodies.insert(bodies.end(), step.hides.begin(), step.hides.end());
  }
  for (std::size_t i = 0, named = bodies.size(); i < named; ++i) {
    if (const job::Part* board = board_under(facts, bodies[i], step)) bodies.push_back(board->id);
  }
  return bodies;
}

bool of_a_board(const Facts& facts, const job::Step& step) {
  const std::vector<PartId> bodies = bodies_of(facts, step);
  return std::any_of(bodies.begin(), bodies.end(), [&](const PartId& id) { return board_of(facts, id) != nullptr; });
}

bool solders(const job::Step& step) { return step.process.text == "reflow" || step.process.text == "hand-solder"; }

bool on_one_body(const Facts& facts, const job::Step& a, const job::Step& b) {
  const std::vector<PartId> of_a = bodies_of(facts, a), of_b = bodies_of(facts, b);
  return std::any_of(of_a.begin(), of_a.end(), [&](const PartId& x) { return std::any_of(of_b.begin(), of_b.end(), [&](const PartId& y) { return same_or_within(facts, x, y); }); });
}

const job::Step* oven_of(const Facts& facts, const job::Step& print) {
  std::vector<const job::Step*> ovens = ovens_on(facts, print.on), prints = steps_of(facts, "print-paste", print.on);
  for (auto* steps : {&ovens, &prints}) std::erase_if(*steps, [&](const job::Step* s) { return !sides_meet(*s, print); });
  if (ovens.size() == prints.size()) return ovens[static_cast<std::size_t>(std::find(prints.begin(), prints.end(), &print) - prints.begin())];
  const auto next = std::find_if(ovens.begin(), ovens.end(), [&](const job::Step* oven) { return &print < oven; });
  return next == ovens.end() ? nullptr : *next;
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
