// Screws that are taken for one another are kept in labelled bags.
#include <fmt/format.h>

#include "core/text.h"
#include "joints/screws.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

void look_alikes(const Facts& facts, Yield& yield) {
  std::vector<joints::ScrewName> screws;
  std::vector<const job::Part*> parts;
  for (const job::Part& p : facts.job.parts) {
    const catalogue::Card& card = facts.card(p.card);
    const auto length = card.get<Millimetres>("length");
    if (card.kind != catalogue::CardKind::screw || !length) continue;
    screws.push_back({card.id.text, card.word_or("thread"), card.word_or("head"), length->high});
    parts.push_back(&p);
  }
  for (std::size_t i = 0; i < screws.size(); ++i) {
    for (std::size_t j = i + 1; j < screws.size(); ++j) {
      if (!joints::look_alike(screws[i], screws[j])) continue;
      plan::Finding f;
      f.rule = RuleId("look-alikes");
      f.severity = plan::Severity::note;
      f.parts = {parts[i]->id, parts[j]->id};
      f.message = fmt::format("{} and {} are easily taken for one another", facts.card(parts[i]->card).name, facts.card(parts[j]->card).name);
      f.mend = "keep them in bags with their labels, and open one at a time";
      f.source = practice();
      f.place = parts[j]->place;
      yield.findings.push_back(std::move(f));
    }
  }
}

}  // namespace handlot::rules
