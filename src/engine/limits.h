// limits.h: how long a search may go on, and what it cost.
#pragma once

#include <cstdint>
#include <limits>

namespace handlot::engine {

/// A search stops at whichever comes first. With limits in conflicts or raises alone the answer is the same on
/// every machine; a limit in seconds depends on the machine.
struct Limits {
  std::int64_t conflicts = std::numeric_limits<std::int64_t>::max();
  double cpu_seconds = std::numeric_limits<double>::infinity();  ///< of this thread
  /// Bounds raised: what a search really costs. Conflicts of one model may be a hundred times dearer than those
  /// of another, where times creep past one another by small steps.
  std::int64_t raises = std::numeric_limits<std::int64_t>::max();
};

struct Effort {
  std::int64_t conflicts = 0;
  std::int64_t decisions = 0;
  std::int64_t restarts = 0;
  std::int64_t raises = 0;
  double cpu_seconds = 0;
};

/// CPU time of this thread since the watch was made. The only clock the engine reads, and only for limits.
class Stopwatch {
 public:
  Stopwatch();
  double cpu_seconds() const;

 private:
  double start_;
};

}  // namespace handlot::engine
