// cpu_time.h: what a search has cost so far, for its limits. Nothing else may depend on it.
#pragma once

#include <ctime>

namespace handlot {

/// CPU seconds of this program, all its threads together.
inline double cpu_seconds() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

}  // namespace handlot
