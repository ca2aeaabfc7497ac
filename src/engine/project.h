// project.h: a project of tasks with lags and shared resources (RCPSP/max): read, solve, check.
#pragma once

#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "engine/limits.h"
#include "engine/solver.h"

namespace handlot::engine {

/// Tasks 0..n-1; time in whole units of the caller's choice.
struct ProjectInstance {
  struct Activity {
    std::int32_t duration = 0;
    std::vector<std::int32_t> demand;  ///< by resource
  };
  struct Lag {  ///< start(to) >= start(from) + lag; negative from the later to the earlier is a maximum lag
    std::int32_t from = 0, to = 0, lag = 0;
  };
  std::vector<std::int32_t> capacity;  ///< by resource
  std::vector<Activity> activities;
  std::vector<Lag> lags;
};

/// Reads the flat form: `n K m`; K capacities; n lines `duration r1..rK`; m lines `from to lag`.
/// Errors   project-malformed: a number missing, out of range, or an activity that does not exist.
Result<ProjectInstance> read_project(std::string_view text, std::string_view file);

struct ProjectAnswer {
  Status status = Status::stopped;
  std::vector<std::int32_t> starts;  ///< by activity; empty without a solution
  std::int32_t makespan = -1;        ///< latest end; -1 without a solution
  std::int32_t lower_bound = 0;      ///< proven: no schedule ends earlier
  std::int64_t conflicts = 0;
  double cpu_seconds = 0;
};

/// A schedule that starts at 0 or later and ends as early as possible.
ProjectAnswer solve_project(const ProjectInstance& project, Limits limits, std::uint64_t seed = 1);

/// Checks starts against the instance alone; knows nothing of the solver.
/// Returns  what is broken, one sentence each; empty if the schedule is right.
std::vector<std::string> check_project(const ProjectInstance& project,
                                       const std::vector<std::int32_t>& starts);

}  // namespace handlot::engine
