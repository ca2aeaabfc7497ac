// A dry film and a cured bond are not warmed past what their cards bear.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/heat.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "film-and-bond-heat";

/// Whether the step hardens what is on it by warmth, and the card has a time for such warmth.
bool cures_by_its_table(const job::Step& hot, const Heat& heat, const catalogue::Card& card) {
  constexpr std::array<std::string_view, 4> kHardening{"cure-warm", "cure", "bake", "dry"};
  if (std::find(kHardening.begin(), kHardening.end(), hot.process.text) == kHardening.end()) return false;
  constexpr std::array<std::string_view, 6> kTimes{"fixture", "handling", "working", "full", "dry", "recoat"};
  return std::any_of(kTimes.begin(), kTimes.end(), [&](std::string_view name) {
    const auto times = card.all(name);
    return std::any_of(times.begin(), times.end(), [&](const catalogue::Figure* f) { return f->at_temperature && *f->at_temperature >= heat.temperature; });
  });
}

/// What is run as a whole says how hot its hottest part gets; another one need not.
bool somewhere_in_it(const Facts& facts, const job::Step& hot) { return hot.on.text == "unit" && facts.process(hot).word_or("class") == "test"; }

struct Warmed {
  const Facts& facts;
  const job::Step& hot;
  const Heat& heat;
};

/// Says it where the card's limit is passed; `what` as in "the film of tung oil on 'Foot'".
void judge(const Warmed& w, const catalogue::Card& card, const job::Step& made_by, const std::string& what, const std::string& mend, Yield& yield) {
  const auto limit = card.get<Celsius>("heat-limit");
  if (!limit || w.heat.temperature <= limit->high || cures_by_its_table(w.hot, w.heat, card)) return;
  auto f = finding(kRule, somewhere_in_it(w.facts, w.hot) ? plan::Severity::note : plan::Severity::warn, w.hot,
                   fmt::format("{} reaches {} degC, and {} bears {} degC", say(w.hot), number(w.heat.temperature.value, 0), what, number(limit->high.value, 0)),
                   fmt::format("stay at {} degC or below, or {}", number(limit->high.value, 0), mend), limit->source);
  f.steps.push_back(made_by.id);
  yield.findings.push_back(std::move(f));
}

void films(const Warmed& w, const KnownOrder& order, Yield& yield) {
  std::vector<const catalogue::Card*> said;  // three coats of one lacquer are one film
  for (const job::Step& coat : w.facts.job.steps) {
    if (coat.on.empty() || !order.before(coat.id, w.hot.id) || !warms(w.facts, order, w.hot, w.heat, coat.on)) continue;
    for (const job::MaterialUse& use : coat.materials) {
      const catalogue::Card& card = w.facts.card(use.card);
      const bool film = card.kind == catalogue::CardKind::oil || card.kind == catalogue::CardKind::coating;
      const bool once_more = std::any_of(w.hot.materials.begin(), w.hot.materials.end(), [&](const job::MaterialUse& u) { return u.card == use.card; });
      if (!film || once_more || std::find(said.begin(), said.end(), &card) != said.end()) continue;
      said.push_back(&card);
      judge(w, card, coat, fmt::format("the film of {} on {}", card.name, w.facts.name(coat.on)), "put the film on after it", yield);
    }
  }
}

void bonds(const Warmed& w, const KnownOrder& order, Yield& yield) {
  for (const job::Joint& joint : w.facts.job.joints) {
    const job::Step* glued = gluing_step(w.facts, joint);
    if (glued == nullptr || !order.before(glued->id, w.hot.id)) continue;
    const bool warm = std::any_of(joint.between.begin(), joint.between.end(), [&](const PartId& id) { return warms(w.facts, order, w.hot, w.heat, id); });
    const catalogue::Card& adhesive = w.facts.card(joint.adhesive);
    if (warm) judge(w, adhesive, *glued, fmt::format("bond '{}' of {}", joint.id.text, adhesive.name), "take an adhesive that bears it", yield);
  }
}

}  // namespace

void films_and_bonds_in_heat(const Facts& facts, const KnownOrder& order, const job::Step& hot, Yield& yield) {
  // An iron or a gun warms one spot, for seconds.
  if (hot.on.empty() || facts.process(hot).word_or("heats", "none") == "touched") return;
  const auto heat = heat_of(facts, hot);
  if (!heat) return;
  const Warmed w{facts, hot, *heat};
  films(w, order, yield);
  bonds(w, order, yield);
}

}  // namespace handlot::rules
