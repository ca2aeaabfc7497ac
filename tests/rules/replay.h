// replay.h: a build done step by step, slowly and plainly, to see what goes wrong. Written apart from the rules: it shares
// the job, the cards and the published cure laws with them, and no line.
#pragma once

#include <compare>
#include <set>
#include <string>
#include <vector>

#include "catalogue/catalogue.h"
#include "job/job.h"

namespace handlot::test {

/// When a step is done, for the one unit that is followed.
struct Done {
  const job::Step* step = nullptr;
  Duration start{0};
  Duration end{0};
};

/// What went wrong: "state", "surface", "cure" or "heat", and the step that suffered (for heat: the hot one).
struct Wrong {
  std::string kind;
  StepId step;
  auto operator<=>(const Wrong&) const = default;
};

std::set<Wrong> replay(const job::Job& job, const catalogue::Catalogue& cards, const std::vector<Done>& build);

}  // namespace handlot::test
