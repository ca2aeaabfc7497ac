// Dust and chips of the body do not fall on what is fitted in it.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/fitted.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

bool makes_chips(const job::Step& step) {
  constexpr std::array<std::string_view, 4> kChips{"sand", "saw", "drill", "turn"};
  return std::find(kChips.begin(), kChips.end(), step.process.text) != kChips.end();
}

bool suffers(const Facts& facts, const PartId& part) {
  constexpr std::array<std::string_view, 5> kMarks{"board", "cell", "display", "optical", "mains"};
  return ball_bearing(facts, part) || std::any_of(kMarks.begin(), kMarks.end(), [&](std::string_view m) { return marked(facts, part, m); });
}

}  // namespace

bool ball_bearing(const Facts& facts, const PartId& part) { return marked(facts, part, "moving") && lower(facts.card_of(part).name).find("bearing") != std::string::npos; }

bool covered_from(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 5> kWords{"cover", "mask", "tape", "cloth", "bag"};
  const bool says = std::any_of(step.actions.begin(), step.actions.end(), [&](const std::string& action) { return says_one_of(kWords, lower(action)); });
  return says || std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return s.process.text == "mask" && same_or_within(facts, s.on, step.on); });
}

const job::Step* fitted_by(const Facts& facts, const KnownOrder& order, const job::Step& step, const PartId& part) {
  std::vector<PartId> bodies{part};
  for (std::size_t i = 0; i < bodies.size(); ++i) {
    const PartId at = bodies[i];  // by value: the chain grows
    if (at == step.on) return nullptr;
    const job::Step* comes = facts.job.installer(at);
    const bool by_then = comes != nullptr && order.before(comes->id, step.id);
    if (by_then && same_or_within(facts, comes->on, step.on)) return comes;
    for (const PartId& outer : facts.job.around(at)) {
      if (!has(bodies, outer)) bodies.push_back(outer);
    }
    if (by_then && !comes->on.empty() && !has(bodies, comes->on)) bodies.push_back(comes->on);
  }
  return nullptr;
}

void chips_inside(const Facts& facts, const KnownOrder& order, const job::Step& step, Yield& yield) {
  wet_inside(facts, order, step, yield);
  if (!makes_chips(step) || covered_from(facts, step)) return;
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
