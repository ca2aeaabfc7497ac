// No screw is tightened harder than what it bites in bears.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "joints/torque.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/screw_facts.h"
#include "rules/setting.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

constexpr std::array<std::string_view, 4> kDrivers{"driver", "spanner", "wrench", "torque"};

struct Bears {
  NewtonMetres most;
  std::string how;
  Source source;
};

/// What screw and parent bear together: the card's figure for the parent, else the table with its cap.
std::optional<Bears> bears(const Facts& facts, const job::Part& screw, const catalogue::Card& card) {
  const std::string row = parent_row(facts, screw);
  if (const auto own = card.get<NewtonMetres>("torque", row)) {
    // A brass insert gives way in its plastic before its thread does: solid brass bears no less.
    const auto insert = row == "brass" ? card.get<NewtonMetres>("torque", "insert") : own;
    if (insert && insert->high > own->high) return Bears{insert->high, "its card's figure for a brass insert, and solid brass bears no less", insert->source};
    return Bears{own->high, row.empty() ? "its card's figure" : fmt::format("its card's figure for {}", row), own->source};
  }
  const auto table = joints::tightening_torque(card.word_or("thread"), card.word_or("strength", "4.8"), row == "wood" ? "plastic" : row);
  if (!table) return std::nullopt;
  return Bears{table->torque, table->how, table->source};
}

std::optional<NewtonMetres> setting_of(const job::Step& step) {
  for (const job::ToolUse& tool : step.tools) {
    const auto amount = set_to(tool, input::Dimension::torque);
    if (amount) return NewtonMetres(amount->high);
  }
  return std::nullopt;
}

/// By its card, or by its name where it has none; another tool of the step may be set to anything.
bool a_driver(const Facts& facts, const job::ToolUse& tool) {
  if (!tool.card.empty()) return facts.card(tool.card).word_or("form") == "driver";
  return says_one_of(kDrivers, lower(tool.name));
}

void say_unread(const Facts& facts, const job::Step& step, Yield& yield) {
  for (const job::ToolUse& tool : step.tools) {
    if (!a_driver(facts, tool) || !not_understood(tool, input::Dimension::torque)) continue;
    auto f = finding("screw-torque", plan::Severity::undecided, step, fmt::format("'{}' is no torque that can be read, so how hard {} tightens is not checked", tool.setting, say(step)), "write it as in setting=\"0.4 Nm\"; N m, Ncm, cNm and mNm are read too", stated());
    f.place = tool.place;
    yield.findings.push_back(std::move(f));
  }
}

/// A driver that cannot be set so.
void out_of_range(const Facts& facts, const job::Step& step, Yield& yield) {
  for (const job::ToolUse& tool : step.tools) {
    const auto amount = set_to(tool, input::Dimension::torque);
    if (tool.card.empty()) continue;
    const catalogue::Card& card = facts.card(tool.card);
    const auto range = card.get<NewtonMetres>("torque");
    if (!amount || !range || range->high.value <= range->low.value) continue;
    if (amount->low >= range->low.value * 0.9999 && amount->high <= range->high.value * 1.0001) continue;
    yield.findings.push_back(finding("screw-torque", plan::Severity::stop, step,
                                     fmt::format("{} is set to {} Nm, and can be set from {} to {} Nm", card.name, number(amount->high, 2), number(range->low.value, 2), number(range->high.value, 2)),
                                     "take a driver of that range, or correct the setting", range->source));
  }
}

/// A cone drives acrylic and polystyrene apart: it bears the least that its card gives for plastic, and no more [practice].
std::optional<std::pair<PartId, NewtonMetres>> wedged(const Facts& facts, const job::Part& screw, const catalogue::Card& card) {
  const auto most = card.get<NewtonMetres>("torque", "plastic");
  if (card.word_or("head") != "countersunk" || !most) return std::nullopt;
  for (const PartId& whole : screw.clamps) {
    for (const PartId& id : facts.job.within(whole)) {
      const catalogue::Card* material = material_of(facts, id);
      const std::string of = material == nullptr ? "" : material->word_or("substrate");
      if (of == "pmma" || of == "ps") return std::pair{id, most->low};
    }
  }
  return std::nullopt;
}

/// Under a tenth of what screw and parent bear, a screw is not tightened but turned in [practice].
constexpr double kSlack = 0.1;

}  // namespace

void screw_torque(const Facts& facts, const job::Step& step, Yield& yield) {
  const auto setting = setting_of(step);
  if (!setting) say_unread(facts, step, yield);
  out_of_range(facts, step, yield);
  for (const job::Installs& i : step.installs) {
    const job::Part* screw = facts.job.part(i.part);
    if (screw == nullptr) continue;
    const catalogue::Card& card = facts.card(screw->card);
    if (card.kind != catalogue::CardKind::screw) continue;
    const auto most = bears(facts, *screw, card);
    if (!most) continue;
    if (!setting) {
      yield.hints.push_back({step.id, {RuleId("screw-torque"), fmt::format("Tighten the {} to {} Nm and no more: {}", called(*screw), number(most->most.value, 2), most->how), most->source}});
      continue;
    }
    if (setting->value < most->most.value * kSlack && card.word_or("head") != "set") {
      auto f = finding("screw-torque", plan::Severity::warn, step,
                       fmt::format("{} is tightened to {} Nm, under a tenth of the {} Nm that it bears: it comes loose", facts.name(screw->id), number(setting->value, 3), number(most->most.value, 2)), "set more, or say why so little will do by a waiver", practice());
      f.parts = {screw->id};
      yield.findings.push_back(std::move(f));
      continue;
    }
    if (const auto wedge = wedged(facts, *screw, card); wedge && setting->value > wedge->second.value * 1.0001 && setting->value <= most->most.value * 1.0001) {
      auto f = finding("screw-torque", plan::Severity::warn, step,
                       fmt::format("{} is tightened to {} Nm, and its cone wedges {} apart, which is brittle", facts.name(screw->id), number(setting->value, 2), facts.name(wedge->first)),
                       fmt::format("set {} Nm or less, or take a pan head with a washer", number(wedge->second.value, 2)), practice());
      f.parts = {screw->id, wedge->first};
      yield.findings.push_back(std::move(f));
    }
    if (setting->value <= most->most.value * 1.0001) continue;
    // Half as much again strips for certain; a little over strips some.
    const bool strips = setting->value > most->most.value * 1.5;
    auto f = finding("screw-torque", strips ? plan::Severity::stop : plan::Severity::warn, step,
                     fmt::format("{} is tightened to {} Nm, and bears {} Nm: {}", facts.name(screw->id), number(setting->value, 2), number(most->most.value, 2), most->how),
                     fmt::format("set {} Nm", number(most->most.value, 2)), most->source);
    f.parts = {screw->id};
    yield.findings.push_back(std::move(f));
  }
}

}  // namespace handlot::rules
