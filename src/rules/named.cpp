#include "rules/named.h"

#include <algorithm>

#include "rules/matter.h"

namespace handlot::rules {

bool puts_in(const job::Step& step, const PartId& part) {
  return std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return i.part == part; });
}

bool names(const job::Step& step, const PartId& part) { return step.on == part || has(step.touches, part) || puts_in(step, part); }

}  // namespace handlot::rules
