// A clamp or jig is taken until the glue holds, or as long as the job says.
#include <fmt/format.h>

#include "rules/cure.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

void clamped_while_curing(const Facts& facts, const job::Step& step, Yield& yield) {
  for (const job::Holds& hold : step.holds) {
    plan::Use use;
    use.resource = hold.fixture;
    use.count = hold.count;
    use.per_unit = true;
    if (!hold.until_step.empty()) {
      use.until_start_of = hold.until_step;
      const job::Step& freed = *facts.job.step(hold.until_step);
      yield.links.push_back(before(step, freed, reason(plan::ReasonKind::process, "clamped", fmt::format("the {} is held until {}", hold.fixture.text, say(freed)), stated(), hold.place)));
    } else if (hold.for_time) {
      use.hold_after_end = *hold.for_time;
    } else if (!hold.until_joint.empty()) {
      const auto time = cure_time(facts, *facts.job.joint(hold.until_joint), hold.until_cure);
      if (time) use.hold_after_end = time->wait;
      if (!time) {
        yield.findings.push_back(finding("clamped", plan::Severity::undecided, step,
                                         fmt::format("how long {} is held is not known: no cure time of '{}'", hold.fixture.text, hold.until_joint.text),
                                         "write for=\"...\" in <holds>, or add the figure to the adhesive's card", practice()));
      }
    }
    yield.held.push_back({step.id, use});
  }
}

}  // namespace handlot::rules
