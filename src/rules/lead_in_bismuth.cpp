// Lead comes to bismuth solder by a finish or a tip too, not by solder alone.
#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "rules/alloys.h"
#include "rules/board_work.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "lead-in-bismuth";

Source fct() { return {"FCT", "lead in bismuth solder", Standing::read}; }

/// What the step wets joints with: the paste that its parts are set into, or the solder that the iron melts.
const catalogue::Card* alloy_of(const Facts& facts, const job::Step& step) {
  if (step.process.text == "place") {
    const auto ovens = ovens_after(facts, step);
    return ovens.empty() ? nullptr : paste_of(facts, *ovens.front());
  }
  if (step.process.text != "hand-solder" && step.process.text != "tin") return nullptr;
  const catalogue::Card* wire = used_card(facts, step, catalogue::CardKind::solder);
  return wire != nullptr ? wire : used_card(facts, step, catalogue::CardKind::paste);
}

/// Of the parts that the step names, and the board that they come on to.
std::vector<PartId> leaded_parts(const Facts& facts, const job::Step& step) {
  std::set<PartId> named(step.touches.begin(), step.touches.end());
  named.insert(step.on);
  for (const job::Installs& i : step.installs) named.insert(i.part);
  if (const job::Part* board = board_of(facts, step.on)) named.insert(board->id);
  std::vector<PartId> leaded;
  std::copy_if(named.begin(), named.end(), std::back_inserter(leaded), [&](const PartId& id) { return facts.card_of(id).yes("leaded"); });
  return leaded;
}

const job::ToolUse* leaded_tip(const Facts& facts, const job::Step& step) {
  const auto tip = std::find_if(step.tools.begin(), step.tools.end(), [&](const job::ToolUse& t) { return !t.card.empty() && facts.card(t.card).yes("leaded"); });
  return tip == step.tools.end() ? nullptr : &*tip;
}

void finish(const Facts& facts, const job::Step& step, const catalogue::Card& alloy, Yield& yield) {
  const std::vector<PartId> leaded = leaded_parts(facts, step);
  if (leaded.empty()) return;
  auto f = finding(kRule, plan::Severity::warn, step, fmt::format("{} with lead in the finish come{} to {} in {}: where both meet, a phase begins to melt near 95 degC", names_of(facts, leaded), leaded.size() == 1 ? "s" : "", alloy.name, say(step)),
                   "take parts with a lead-free finish, or a solder without bismuth", fct());
  f.parts = leaded;
  yield.findings.push_back(std::move(f));
}

void tip(const Facts& facts, const job::Step& step, const catalogue::Card& alloy, Yield& yield) {
  const job::ToolUse* tool = leaded_tip(facts, step);
  if (tool == nullptr) return;
  const std::string& name = facts.card(tool->card).name;
  auto f = has_bismuth(alloy) ? finding(kRule, plan::Severity::warn, step, fmt::format("{} works {} with '{}', whose tip has seen lead: where both meet, a phase begins to melt near 95 degC", say(step), alloy.name, name), "take a tip that never saw lead", fct())
                              : finding(kRule, plan::Severity::note, step, fmt::format("{} works {} with '{}', whose tip has seen lead: traces of it come into the joint", say(step), alloy.name, name), "take a tip that never saw lead where the unit is to be free of it", practice());
  f.place = tool->place;
  yield.findings.push_back(std::move(f));
}

}  // namespace

void lead_in_bismuth(const Facts& facts, const job::Step& step, Yield& yield) {
  const catalogue::Card* alloy = alloy_of(facts, step);
  if (alloy == nullptr || alloy->yes("lead")) return;
  if (has_bismuth(*alloy)) finish(facts, step, *alloy, yield);
  tip(facts, step, *alloy, yield);
}

}  // namespace handlot::rules
