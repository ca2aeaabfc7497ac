// A finish that is sanded off is put on again, and what it covers is drilled before it.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

bool finishes(const job::Step& step) {
  constexpr std::array<std::string_view, 4> kCoats{"oil", "shellac", "lacquer", "wax"};
  return std::find(kCoats.begin(), kCoats.end(), step.process.text) != kCoats.end();
}

/// A film is rubbed level to be polished, or to stay matt: what the step or a polishing after it says.
bool rubbed_out(const job::Step& sand) {
  constexpr std::array<std::string_view, 7> kWords{"flatten", "level", "rub out", "satin", "matt", "wet paper", "wet sand"};
  return says_one_of(kWords, step_words(sand));
}

/// A hole through the film leaves a bare edge from which it lifts.
void drilled(const Facts& facts, const KnownOrder& order, const job::Step& drill, Yield& yield) {
  const bool taped = std::any_of(drill.actions.begin(), drill.actions.end(), [](const std::string& a) { return lower(a).find("tape") != std::string::npos; });
  const job::Step* last = nullptr;
  for (const job::Step& s : facts.job.steps) {
    if (!film_process(s.process.text) || !same_or_within(facts, s.on, drill.on)) continue;
    if (order.before(drill.id, s.id)) return;
    if (order.before(s.id, drill.id)) last = &s;
  }
  if (last == nullptr || taped) return;
  yield.findings.push_back(finding("finish-stays", plan::Severity::note, drill, fmt::format("{} cuts through the film of {}, and no coat follows: the edge is bare, and the film may chip there", say(drill), say(*last)), "do it before the finish, or tape over the spot and say so in an action", practice()));
}

}  // namespace

void finish_stays(const Facts& facts, const KnownOrder& order, const job::Step& sand, Yield& yield) {
  if (sand.on.empty() || !sand.face_gives.empty()) return;
  if (sand.process.text == "drill" || sand.process.text == "saw" || sand.process.text == "turn") drilled(facts, order, sand, yield);
  if (sand.process.text != "sand") return;
  const auto here = [&](const job::Step& s) { return finishes(s) && same_or_within(facts, s.on, sand.on); };
  const auto& steps = facts.job.steps;
  const auto coat = std::find_if(steps.begin(), steps.end(), [&](const job::Step& s) { return here(s) && order.before(s.id, sand.id); });
  const bool again = std::any_of(steps.begin(), steps.end(), [&](const job::Step& s) { return here(s) && order.before(sand.id, s.id); });
  const bool polished = std::any_of(steps.begin(), steps.end(), [&](const job::Step& s) { return s.process.text == "polish" && same_or_within(facts, s.on, sand.on) && order.before(sand.id, s.id); });
  // Sanded to be glued is bared on purpose.
  const bool glued = std::any_of(steps.begin(), steps.end(), [&](const job::Step& s) { return order.before(sand.id, s.id) && bare_for(facts, s).contains(sand.on); });
  if (coat == steps.end() || again || glued) return;
  if (film_process(coat->process.text) && (polished || rubbed_out(sand))) return;
  yield.findings.push_back(finding("finish-stays", plan::Severity::warn, sand, fmt::format("{} takes off the finish of {}, and no coat follows", say(sand), say(*coat)), "sand before the finish, or put a coat on after", practice()));
}

}  // namespace handlot::rules
