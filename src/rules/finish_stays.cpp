// A finish that is sanded off is put on again.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

bool finishes(const job::Step& step) {
  constexpr std::array<std::string_view, 4> kCoats{"oil", "shellac", "lacquer", "wax"};
  return std::find(kCoats.begin(), kCoats.end(), step.process.text) != kCoats.end();
}

}  // namespace

void finish_stays(const Facts& facts, const KnownOrder& order, const job::Step& sand, Yield& yield) {
  if (sand.process.text != "sand" || sand.on.empty() || !sand.face_gives.empty()) return;
  const auto here = [&](const job::Step& s) { return finishes(s) && same_or_within(facts, s.on, sand.on); };
  const auto& steps = facts.job.steps;
  const auto coat = std::find_if(steps.begin(), steps.end(), [&](const job::Step& s) { return here(s) && order.before(s.id, sand.id); });
  const bool again = std::any_of(steps.begin(), steps.end(), [&](const job::Step& s) { return here(s) && order.before(sand.id, s.id); });
  // Sanded to be glued is bared on purpose.
  const bool glued = std::any_of(steps.begin(), steps.end(), [&](const job::Step& s) { return order.before(sand.id, s.id) && bare_for(facts, s).contains(sand.on); });
  if (coat == steps.end() || again || glued) return;
  yield.findings.push_back(finding("finish-stays", plan::Severity::warn, sand, fmt::format("{} takes off the finish of {}, and no coat follows", say(sand), say(*coat)), "sand before the finish, or put a coat on after", practice()));
}

}  // namespace handlot::rules
