// The iron: no hotter than solder and pads bear, no hotter and no longer than the parts' makers allow.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "core/text.h"
#include "input/units.h"
#include "rules/board_work.h"
#include "rules/heat.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "solder/hand.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "iron";
constexpr double kTipError = 6;  // K: the source gives tips to +-10 degF

struct Tip {
  Celsius low, high;
};

/// As set in the step, else what the tool's card says.
std::optional<Tip> tip_of(const Facts& facts, const job::Step& step) {
  for (const job::ToolUse& tool : step.tools) {
    const auto set = input::read_amount(tool.setting, input::Dimension::temperature, {100, 600});
    if (set) return Tip{Celsius(set->low), Celsius(set->high)};
  }
  for (const job::ToolUse& tool : step.tools) {
    if (tool.card.empty() || facts.card(tool.card).word_or("form") != "iron") continue;
    if (const auto range = facts.card(tool.card).get<Celsius>("temperature")) return Tip{range->low, range->high};
  }
  return std::nullopt;
}

/// `usual`: what the solder's card says of the tip; without it only tin-lead and the hot lead-free alloys have a usual range.
void check_tip(const job::Step& step, const Tip& tip, const solder::IronSetting& setting, const std::optional<catalogue::Sourced<Celsius>>& usual, const std::string& kind, Yield& yield) {
  if (tip.high > setting.never_above) {
    yield.findings.push_back(finding(kRule, plan::Severity::stop, step, fmt::format("the iron is set to {} degC, and no tip goes above {} degC: pads lift and flux burns", number(tip.high.value, 0), number(setting.never_above.value, 0)),
                                     fmt::format("set it to {} to {} degC and take a larger tip", number(setting.low.value, 0), number(setting.high.value, 0)), setting.limit_source));
  } else if (usual && (tip.high > usual->high + Kelvin(kTipError) || tip.low < usual->low - Kelvin(kTipError))) {
    yield.findings.push_back(finding(kRule, plan::Severity::note, step, fmt::format("the iron is set to {} degC; {} is usually worked at {} to {} degC", number(tip.high.value, 0), kind, number(usual->low.value, 0), number(usual->high.value, 0)),
                                     "a larger tip helps more than a hotter one", usual->source));
  }
}

void check_part(const Facts& facts, const job::Step& step, const PartId& id, const std::optional<Tip>& tip, const solder::IronSetting& setting, Seconds dwell, const Source& dwell_source, Yield& yield) {
  const catalogue::Card& card = facts.card_of(id);
  const auto add = [&](plan::Severity severity, std::string text, std::string mend, const Source& source) {
    auto f = finding(kRule, severity, step, std::move(text), std::move(mend), source);
    f.parts = {id};
    yield.findings.push_back(std::move(f));
  };
  if (const auto limit = card.get<Celsius>("iron-limit")) {
    if (!tip) {
      add(plan::Severity::undecided, fmt::format("{} bears a tip of {} degC, and {} does not say how hot the iron is", facts.name(id), number(limit->low.value, 0), say(step)), "write setting=\"350 degC\" into the <tool>", limit->source);
    } else if (tip->high > limit->low) {
      add(plan::Severity::stop, fmt::format("{} bears a tip of {} degC by hand, and the iron is set to {} degC", facts.name(id), number(limit->low.value, 0), number(tip->high.value, 0)), fmt::format("set the iron to {} degC or less for it", number(limit->low.value, 0)), limit->source);
    }
  }
  if (const auto time = card.get<Seconds>("iron-time"); time && time->low < dwell) {
    const bool hopeless = time->low < setting.dwell_low;
    add(hopeless ? plan::Severity::stop : plan::Severity::warn,
        fmt::format("{} bears the iron for {} s, and a joint takes {} to {} s ({})", facts.name(id), number(time->low.value, 1), number(setting.dwell_low.value, 0), number(dwell.value, 0), describe(dwell_source)),
        hopeless ? "clip a heat sink to its legs, or solder it with paste and hot air within its limits" : fmt::format("take the iron away after {} s and let it cool between legs", number(time->low.value, 1)), time->source);
  }
}

/// What the iron comes to beside what it puts in: the parts that the step names one by one. A subassembly or a whole board
/// that it works on says nothing of the parts in it.
std::set<PartId> named_beside(const Facts& facts, const job::Step& step) {
  std::set<PartId> parts(step.touches.begin(), step.touches.end());
  parts.insert(step.on);
  for (const job::Installs& i : step.installs) {
    for (const PartId& id : facts.job.within(i.part)) parts.erase(id);
  }
  std::erase_if(parts, [&](const PartId& id) { return facts.job.part(id) == nullptr; });
  return parts;
}

/// Parts near the joint that would suffer from its heat: those that do not bear molten solder.
void shield(const Facts& facts, const job::Step& step, const PartId& id, Celsius melts, Yield& yield) {
  constexpr double kReach = 5;  // mm from the iron, common practice
  const job::Part* own = facts.job.part(id);
  if (own == nullptr || own->assembly.empty()) return;
  if (board_of(facts, own->assembly) == nullptr) return;
  std::vector<std::string> near;
  for (const job::Part& other : facts.job.parts) {
    if (other.id == id || other.assembly != own->assembly || other.jig || facts.card_of(other.id).yes("board")) continue;
    const auto limit = heat_limit_of(facts, other.id, false);
    if (!limit || limit->low >= melts) continue;
    const bool close = std::any_of(own->places.begin(), own->places.end(), [&](const job::Placement& a) {
      return std::any_of(other.places.begin(), other.places.end(), [&](const job::Placement& b) { return std::hypot(a.at_mm[0] - b.at_mm[0], a.at_mm[1] - b.at_mm[1], a.at_mm[2] - b.at_mm[2]) <= kReach; });
    });
    if (close) near.push_back(fmt::format("{} ({} degC)", facts.name(other.id), number(limit->low.value, 0)));
  }
  if (near.empty()) return;
  auto f = finding(kRule, plan::Severity::note, step, fmt::format("within {} mm of {} lies what does not bear molten solder: {}", number(kReach, 0), facts.name(id), listed(near)), "shield it from the iron, or put it in afterwards", practice());
  f.parts = {id};
  yield.findings.push_back(std::move(f));
}

}  // namespace

void iron(const Facts& facts, const job::Step& step, Yield& yield) {
  if (step.process.text != "hand-solder" && step.process.text != "desolder") return;
  const auto tip = tip_of(facts, step);
  const catalogue::Card* solder_card = used_card(facts, step, catalogue::CardKind::solder);
  const bool lead_free = solder_card == nullptr || !solder_card->yes("lead");
  // Without geometry of the joint the longer time of a through-hole joint is taken for its upper end.
  const solder::IronSetting setting = solder::iron_setting(lead_free, solder::JointKind::surface), through = solder::iron_setting(lead_free, solder::JointKind::through_hole);
  if (tip) check_tip(step, *tip, setting, solder_card == nullptr ? std::nullopt : solder_card->get<Celsius>("tip-temperature"), solder_card == nullptr ? std::string() : solder_card->name, yield);
  Seconds dwell = through.dwell_high;
  Source dwell_source = through.dwell_source;
  if (solder_card != nullptr) {
    if (const auto own = solder_card->get<Seconds>("dwell", "through-hole")) {
      dwell = own->high;
      dwell_source = own->source;
    }
  }
  const auto liquidus = solder_card == nullptr ? std::nullopt : solder_card->get<Celsius>("liquidus");
  for (const job::Installs& i : step.installs) {
    for (const PartId& id : facts.job.within(i.part)) {
      check_part(facts, step, id, tip, setting, dwell, dwell_source, yield);
      shield(facts, step, id, liquidus ? liquidus->low : Celsius(217), yield);
    }
  }
  for (const PartId& id : named_beside(facts, step)) check_part(facts, step, id, tip, setting, dwell, dwell_source, yield);
}

}  // namespace handlot::rules
