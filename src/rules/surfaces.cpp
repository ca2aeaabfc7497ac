#include "rules/surfaces.h"

#include <algorithm>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/saying.h"

namespace handlot::rules {

bool film_process(std::string_view process) { return process == "lacquer" || process == "shellac"; }

bool film_card(const catalogue::Card& finish) {
  const std::string family = finish.word_or("family");
  return family == "lacquer" || family == "varnish" || family == "shellac";
}

bool levels_film(const Facts& facts, const job::Step& sand) {
  bool before = false, after = false;
  for (const job::Step& s : facts.job.steps) {
    if (!film_process(s.process.text) || !same_or_within(facts, s.on, sand.on)) continue;
    (&s < &sand ? before : after) = true;
  }
  return sand.process.text == "sand" && before && !after;
}

bool self_adhesive(const Facts& facts, const PartId& part) {
  const job::Part* p = facts.job.part(part);
  if (p == nullptr) return false;
  const catalogue::Card& card = facts.card(p->card);
  const std::string said = card.word_or("self-adhesive");
  if (!said.empty()) return said == "yes";
  const std::string names = lower(card.name) + " " + lower(p->name);
  return names.find("self-adhesive") != std::string::npos || names.find("self adhesive") != std::string::npos;
}

bool sticks_on(const Facts& facts, const job::Step& step) {
  return step.bonds.empty() && std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return self_adhesive(facts, i.part); });
}

}  // namespace handlot::rules
