// A part is tested where it is: the test of a part in a body comes after the part came into that body.
#include <fmt/format.h>

#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

void tested_when_in(const Facts& facts, const job::Step& test, Yield& yield) {
  if (test.on.empty()) return;
  for (const PartId& part : test.tests) {
    if (part.text == "unit") continue;  // as far as it is built by then
    for (const job::Step* joins : joining_steps(facts, part, test.on)) {
      if (joins == &test) continue;
      yield.links.push_back(before(*joins, test, reason(plan::ReasonKind::test, "tested-when-in", fmt::format("{} tests {}, which {} puts in", say(test), facts.name(part), say(*joins)), stated(), test.place)));
    }
  }
}

}  // namespace handlot::rules
