// hands.h: a step of so many minutes of hands-on work, for works that a test writes itself.
#pragma once

#include "plan/step.h"

namespace handlot::schedule::samples {

inline plan::Step hands(const char* id, std::int64_t minutes) {
  plan::Step step;
  step.id = StepId(id);
  step.timing.run = Duration(minutes * 60);
  return step;
}

}  // namespace handlot::schedule::samples
