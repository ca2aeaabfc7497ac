#include "engine/limits.h"

#include <time.h>

namespace handlot::engine {

namespace {
double thread_seconds() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + static_cast<double>(now.tv_nsec) * 1e-9;
}
}  // namespace

Stopwatch::Stopwatch() : start_(thread_seconds()) {}

double Stopwatch::cpu_seconds() const {
  return thread_seconds() - start_;
}

}  // namespace handlot::engine
