// A finish is dry before anything touches it, and ready for the next coat before that goes on.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/cure.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

const catalogue::Card* finish_of(const Facts& facts, const job::Step& step) {
  if (facts.process(step).word_or("class") != "finish") return nullptr;
  for (const job::MaterialUse& use : step.materials) {
    const catalogue::Card& card = facts.card(use.card);
    if (card.find("dry") != nullptr || card.find("recoat") != nullptr) return &card;
  }
  return nullptr;
}

bool leaves_it_alone(const job::Step& later) {
  constexpr std::array<std::string_view, 7> kLeaving{"wipe-off", "dispose-rags", "unmask", "vent", "cure", "dry", "inspect"};
  return std::find(kLeaving.begin(), kLeaving.end(), later.process.text) != kLeaving.end();
}

}  // namespace

void finish_dry(const Facts& facts, const job::Step& coat, const job::Step& later, Yield& yield) {
  const catalogue::Card* finish = finish_of(facts, coat);
  if (finish == nullptr || leaves_it_alone(later) || facts.process(later).word_or("cure-needed", "handling") == "none") return;
  const std::set<PartId> coated = worked_on(facts, coat), reached = worked_on(facts, later);
  const auto shared = std::find_if(coated.begin(), coated.end(), [&](const PartId& p) { return reached.contains(p); });
  if (shared == coated.end()) return;
  const bool next_coat = finish_of(facts, later) != nullptr;
  auto wait = finish->get<Duration>(next_coat ? "recoat" : "dry");
  if (!wait) wait = finish->get<Duration>(next_coat ? "dry" : "recoat");
  if (!wait) return;
  plan::Constraint dry = before(coat, later, wait->high,
                                reason(plan::ReasonKind::clock, "finish-dry",
                                       fmt::format("{} on {} {} after {}", finish->name, facts.name(*shared), next_coat ? "takes the next coat" : "is dry to the touch", in_words(wait->high)),
                                       wait->source, wait->place));
  plan::Constraint sooner = before(later, coat, reason(plan::ReasonKind::listing, kListingRule, fmt::format("listed before {}", say(coat)), stated(), later.place));
  sooner.reason.builders_choice = true;
  std::vector<std::vector<plan::Constraint>> options{{dry}, {sooner}};
  if (&later < &coat) std::swap(options[0], options[1]);
  at_least_one(yield, kListingRule, std::move(options), fmt::format("{} before or after {}", say(later), say(coat)), later.place);
}

}  // namespace handlot::rules
