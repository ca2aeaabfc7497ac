// A screw goes in after everything that it holds together and after what it bites in.
#include <fmt/format.h>

#include <algorithm>

#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

void screws_last(const Facts& facts, const job::Part& screw, Yield& yield) {
  if (screw.clamps.empty() && screw.into.empty()) return;
  std::vector<PartId> held = screw.clamps;
  if (!screw.into.empty()) held.push_back(screw.into);
  for (const job::Step& step : facts.job.steps) {
    const bool drives = std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return i.part == screw.id; });
    if (!drives) continue;
    for (const PartId& part : held) {
      // An insert set into a frame that lies on the bench by itself: where that frame goes later, and when, is no matter of the insert's.
      if (part == screw.into && part == step.on) continue;
      // Only the way of the held part to the screw counts, not the screw's own.
      std::vector<PartId> chain = facts.job.around(part);
      chain.insert(chain.begin(), part);
      const std::vector<PartId> mine = facts.job.around(screw.id);
      for (const PartId& id : chain) {
        if (std::find(mine.begin(), mine.end(), id) != mine.end()) break;
        const job::Step* first = facts.job.installer(id);
        if (first == nullptr || first == &step) continue;
        yield.links.push_back(before(*first, step,
                                     reason(plan::ReasonKind::fastener, "screws-last",
                                            fmt::format("the screw {} holds {}, which must be in its place", facts.name(screw.id), facts.name(part)),
                                            practice(), screw.place)));
      }
    }
  }
}

}  // namespace handlot::rules
