#include "rules/set_on.h"

namespace handlot::rules {

std::set<PartId> set_on(const Facts& facts, const job::Step& step) {
  std::set<PartId> parts;
  for (const job::Step& s : facts.job.steps) {
    if (&s == &step) break;
    if (s.on != step.on || s.on.empty()) continue;
    for (const job::Installs& i : s.installs) {
      for (const PartId& inside : facts.job.within(i.part)) parts.insert(inside);
    }
  }
  return parts;
}

}  // namespace handlot::rules
