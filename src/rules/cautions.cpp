// The cautions of the job, each once, in the right class and at the right place.
#include "rules/hazards.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

void cautions(const Facts& facts, Yield& yield) {
  std::vector<safety::StepFacts> steps;
  std::set<PartId> had_power;
  for (const job::Step& s : facts.job.steps) {
    steps.push_back(step_facts(facts, s));
    // A fault shows when something first gets power, by the listing; a later run of the same is another thing.
    for (const PartId& part : powered(facts, s)) {
      if (had_power.insert(part).second) steps.back().acts.insert(safety::Act::powered_test);
    }
  }
  for (plan::Caution& c : safety::cautions(steps)) yield.cautions.push_back(std::move(c));
  for (const safety::Deferral& d : safety::deferrals_for(steps)) yield.deferrals.emplace_back(d.text);
}

}  // namespace handlot::rules
