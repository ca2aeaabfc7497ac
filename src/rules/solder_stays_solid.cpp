// Solder that is on a board stays solid in what comes after: bakes, warm cures, runs in the heat.
#include <fmt/format.h>

#include "core/text.h"
#include "rules/board_work.h"
#include "rules/heat.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "solder-stays-solid";
constexpr double kSwing = 10;  // kelvin that an oven swings over what it is set to (common practice, no source)
constexpr double kWeak = 20;   // kelvin under its melting point, from where on solder holds next to nothing (common practice, no source)

/// What the step melts into joints; null where it solders nothing.
const catalogue::Card* melted_by(const Facts& facts, const job::Step& step) {
  if (step.process.text == "reflow") return paste_of(facts, step);
  return step.process.text == "hand-solder" ? used_card(facts, step, catalogue::CardKind::solder) : nullptr;
}

std::optional<catalogue::Sourced<Celsius>> solid_up_to(const catalogue::Card& alloy) {
  const auto solidus = alloy.get<Celsius>("solidus");
  return solidus ? solidus : alloy.get<Celsius>("liquidus");
}

/// Of all that was soldered before and gets warm, what melts first.
struct Joint {
  const job::Step* made_by = nullptr;
  const catalogue::Card* alloy = nullptr;
  catalogue::Sourced<Celsius> solidus;
};

std::optional<Joint> first_to_melt(const Facts& facts, const KnownOrder& order, const job::Step& hot, const Heat& heat) {
  std::optional<Joint> first;
  for (const job::Step& s : facts.job.steps) {
    const catalogue::Card* alloy = melted_by(facts, s);
    const auto solidus = alloy == nullptr ? std::nullopt : solid_up_to(*alloy);
    if (!solidus || s.on.empty() || !order.before(s.id, hot.id) || !warms(facts, order, hot, heat, s.on)) continue;
    if (!first || solidus->low < first->solidus.low) first = Joint{&s, alloy, *solidus};
  }
  return first;
}

}  // namespace

void solder_stays_solid(const Facts& facts, const KnownOrder& order, const job::Step& hot, Yield& yield) {
  // An iron or a gun melts one joint on purpose, and what a second run of the oven does to the first is second-side's business.
  if (hot.on.empty() || hot.process.text == "reflow" || facts.process(hot).word_or("heats", "none") == "touched") return;
  const auto heat = heat_of(facts, hot);
  const auto joint = heat ? first_to_melt(facts, order, hot, *heat) : std::nullopt;
  if (!joint) return;
  const double melts = joint->solidus.low.value, under = melts - heat->temperature.value;
  if (under >= kWeak) return;
  const std::string_view what = under <= 0 ? "its parts come loose" : under < kSwing ? "an oven swings by as much" : "so near to it solder holds little";
  auto f = finding(kRule, under <= 0 ? plan::Severity::stop : under < kSwing ? plan::Severity::warn : plan::Severity::note, hot,
                   fmt::format("{} warms {} to {} degC, and what {} soldered with {} melts at {} degC: {}", say(hot), facts.name(joint->made_by->on), number(heat->temperature.value, 0), say(*joint->made_by), joint->alloy->name, number(melts, 0), what),
                   fmt::format("stay at {} degC or below, or warm it through before it is soldered", number(melts - kWeak, 0)), joint->solidus.source);
  f.steps.push_back(joint->made_by->id);
  yield.findings.push_back(std::move(f));
}

}  // namespace handlot::rules
