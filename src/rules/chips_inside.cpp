// Dust and chips of the body do not fall on what is fitted in it.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

bool makes_chips(const job::Step& step) {
  constexpr std::array<std::string_view, 4> kChips{"sand", "saw", "drill", "turn"};
  return std::find(kChips.begin(), kChips.end(), step.process.text) != kChips.end();
}

bool suffers(const Facts& facts, const PartId& part) {
  constexpr std::array<std::string_view, 5> kMarks{"board", "cell", "display", "optical", "mains"};
  return std::any_of(kMarks.begin(), kMarks.end(), [&](std::string_view m) { return marked(facts, part, m); });
}

/// Covered by a step, or in the words of this one: "Lay a cloth over the board".
bool covered(const Facts& facts, const job::Step& step) {
  std::string text;
  for (const std::string& action : step.actions) text += " " + lower(action);
  constexpr std::array<std::string_view, 5> kWords{"cover", "mask", "tape", "cloth", "bag"};
  if (std::any_of(kWords.begin(), kWords.end(), [&](std::string_view w) { return text.find(w) != std::string::npos; })) return true;
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return s.process.text == "mask" && same_or_within(facts, s.on, step.on); });
}

/// The step that fitted the part into the body of `step`, when it surely came before; null: none did.
const job::Step* fitted_by(const Facts& facts, const KnownOrder& order, const job::Step& step, const PartId& part) {
  std::vector<PartId> bodies = facts.job.around(part);
  bodies.insert(bodies.begin(), part);
  for (const PartId& id : bodies) {
    if (id == step.on) return nullptr;  // worked on by itself
    const job::Step* comes = facts.job.installer(id);
    if (comes != nullptr && same_or_within(facts, comes->on, step.on) && order.before(comes->id, step.id)) return comes;
  }
  return nullptr;
}

}  // namespace

void chips_inside(const Facts& facts, const KnownOrder& order, const job::Step& step, Yield& yield) {
  if (!makes_chips(step) || covered(facts, step)) return;
  std::vector<std::string> fitted;
  std::vector<PartId> parts;
  for (const job::Part& part : facts.job.parts) {
    if (part.jig || !suffers(facts, part.id) || fitted_by(facts, order, step, part.id) == nullptr) continue;
    fitted.push_back(facts.name(part.id));
    parts.push_back(part.id);
  }
  if (fitted.empty()) return;
  auto f = finding("chips-inside", plan::Severity::warn, step, fmt::format("{} throws dust and chips on what is fitted by then: {}", say(step), listed(fitted)),
                   "do it before they are fitted, or cover them and say so in an action", practice());
  f.parts = std::move(parts);
  yield.findings.push_back(std::move(f));
}

}  // namespace handlot::rules
