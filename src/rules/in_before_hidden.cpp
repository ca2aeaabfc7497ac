// What a step hides is put in before it. Work on a hidden part may still be possible where a shaft or a plug stands out: that is
// for the job file to say.
#include <fmt/format.h>

#include "rules/hidden.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

void in_before_hidden(const Facts& facts, const job::Step& hiding, Yield& yield) {
  std::set<PartId> hidden = hidden_by(facts, hiding);
  hidden.insert(hiding.hides.begin(), hiding.hides.end());  // a subassembly is put in by a step of its own, beside its parts
  std::set<StepId> linked;
  for (const PartId& part : hidden) {
    const job::Step* step = facts.job.installer(part);
    if (step == nullptr || step == &hiding || !linked.insert(step->id).second) continue;
    yield.links.push_back(before(*step, hiding, reason(plan::ReasonKind::access, "in-before-hidden", fmt::format("{} hides {}, which must be in by then", say(hiding), facts.name(part)), stated(), hiding.place)));
  }
}

}  // namespace handlot::rules
