// What sticks by itself holds on a clean face only: not on wax, grease or silicone, and on oil only when that has hardened.
#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "rules/ground.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/spared.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "self-adhesive";

const PartId& sticker(const Facts& facts, const job::Step& step) {
  return std::find_if(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return self_adhesive(facts, i.part); })->part;
}

/// The oil of a finish that the step puts on, with the time its card gives to harden; null: none.
const catalogue::Card* drying_oil(const Facts& facts, const job::Step& step) {
  if (step.process.text != "oil") return nullptr;
  for (const job::MaterialUse& use : step.materials) {
    const catalogue::Card& card = facts.card(use.card);
    if (card.word_or("family") == "drying-oil" && card.find("full") != nullptr) return &card;
  }
  return nullptr;
}

void on_oil(const Facts& facts, const KnownOrder& order, const job::Step& oil, const job::Step& stick, Yield& yield) {
  const catalogue::Card* card = drying_oil(facts, oil);
  if (card == nullptr || taken_off(facts, order, oil, stick, stick.on)) return;
  const auto full = card->get<Duration>("full"), dry = card->get<Duration>("dry");
  const Duration rest = std::max(planned_rest(facts, order, oil, stick), dry ? dry->high : Duration(0));
  if (!full || rest >= full->high) return;
  // Three days are what many give it: common practice, no source.
  auto f = finding(kRule, rest < hours(72) ? plan::Severity::warn : plan::Severity::note, stick,
                   fmt::format("step {} sticks the part {} on {} of step {} that is planned to rest for {}, and is hard after {}: it slides off", say(stick), facts.name(sticker(facts, stick)), card->name, say(oil), in_words(rest), in_words(full->high)),
                   "mask the spots from the oil, sand them bare, or let it harden", full->source);
  f.parts = {sticker(facts, stick)};
  yield.findings.push_back(std::move(f));
}

}  // namespace

void sticks_by_itself(const Facts& facts, const KnownOrder& order, const job::Step& stick, Yield& yield) {
  if (!sticks_on(facts, stick) || stick.on.empty()) return;
  const job::Step* oiled = nullptr;
  for (const job::Step& dirty : facts.job.steps) {
    const bool here = dirty.on == stick.on || has(dirty.touches, stick.on) || (facts.job.part(stick.on) != nullptr && works_at(facts, dirty, stick.on));
    if (&dirty == &stick || !here || !order.before(dirty.id, stick.id) || spared_for(facts, dirty, stick, stick.on) == Spared::this_face) continue;
    if (drying_oil(facts, dirty) != nullptr && (oiled == nullptr || order.before(oiled->id, dirty.id))) oiled = &dirty;
    const std::string what = grease_left(facts, dirty);
    if (what.empty() || taken_off(facts, order, dirty, stick, stick.on)) continue;
    auto f = finding(kRule, plan::Severity::warn, stick, fmt::format("{} leaves {} on {}, and {} does not stick on it", say(dirty), what, facts.name(stick.on), facts.name(sticker(facts, stick))),
                     fmt::format("stick it on before {}, mask the spots, or take the {} off them", say(dirty), what), practice());
    f.steps.push_back(dirty.id);
    f.parts = {sticker(facts, stick)};
    yield.findings.push_back(std::move(f));
  }
  if (oiled != nullptr) on_oil(facts, order, *oiled, stick, yield);
}

}  // namespace handlot::rules
