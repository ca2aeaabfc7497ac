// A subassembly is put in as one body: what belongs into it is in it by then.
#include <fmt/format.h>

#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

void assembly_whole(const Facts& facts, const job::Step& step, Yield& yield) {
  for (const job::Installs& installs : step.installs) {
    const std::vector<PartId> around = facts.job.around(installs.part);
    for (const PartId& outer : around) {
      const job::Step* later = facts.job.installer(outer);
      if (later == nullptr || later == &step) continue;
      yield.links.push_back(before(step, *later,
                                   reason(plan::ReasonKind::part, "assembly-whole",
                                          fmt::format("{} belongs to {}, which is put in as one body", facts.name(installs.part), facts.name(outer)),
                                          practice(), installs.place)));
    }
  }
}

}  // namespace handlot::rules
