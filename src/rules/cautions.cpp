// The cautions of the job, each once, in the right class and at the right place.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/hazards.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

bool air_fed(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 6> kWords{"air-fed", "air fed", "supplied air", "supplied-air", "breathing air", "compressed-air respirator"};
  return says_one_of(kWords, step_words(step) + " " + lower(facts.process(step).word_or("protect")));
}

/// A mist of what makes asthma: no filter mask is enough, and the step does not tell of more.
void sprayed_asthma(const Facts& facts, const job::Step& step, const safety::StepFacts& hazards, Yield& yield) {
  if (!hazards.sprayed || air_fed(facts, step)) return;
  for (const safety::Substance& s : hazards.substances) {
    const auto& codes = s.label.h_codes;
    if (std::find(codes.begin(), codes.end(), "H334") == codes.end()) continue;
    yield.findings.push_back(finding("cautions", plan::Severity::warn, step, fmt::format("{} sprays {}, whose mist may cause asthma (H334)", say(step), s.name),
                                     "brush or roll it on; or spray it with air-fed breathing protection only, and say so in a line of the step: a filter mask does not do", practice()));
  }
}

}  // namespace

void cautions(const Facts& facts, Yield& yield) {
  std::vector<safety::StepFacts> steps;
  std::set<PartId> had_power;
  for (const job::Step& s : facts.job.steps) {
    steps.push_back(step_facts(facts, s));
    sprayed_asthma(facts, s, steps.back(), yield);
    // A fault shows when something first gets power, by the listing; a later run of the same is another thing.
    for (const PartId& part : powered(facts, s)) {
      if (had_power.insert(part).second) steps.back().acts.insert(safety::Act::powered_test);
    }
  }
  for (plan::Caution& c : safety::cautions(steps)) yield.cautions.push_back(std::move(c));
  for (const safety::Deferral& d : safety::deferrals_for(steps)) yield.deferrals.emplace_back(d.text);
}

}  // namespace handlot::rules
