#include <fmt/format.h>

#include <algorithm>

#include "engine/project.h"

namespace handlot::engine {

namespace {

std::size_t at(std::int32_t i) {
  return static_cast<std::size_t>(i);
}

// The load can only rise where an activity starts, so these moments are the ones to look at.
void check_resource(const ProjectInstance& p, const std::vector<std::int32_t>& starts, std::size_t k,
                    std::vector<std::string>& broken) {
  for (const std::int32_t t : starts) {
    std::int64_t load = 0;
    for (std::size_t i = 0; i < starts.size(); ++i)
      if (starts[i] <= t && t < starts[i] + p.activities[i].duration) load += p.activities[i].demand[k];
    if (load > p.capacity[k])
      broken.push_back(fmt::format("resource {} is asked for {} of {} at {}", k, load, p.capacity[k], t));
  }
}

}  // namespace

std::vector<std::string> check_project(const ProjectInstance& p, const std::vector<std::int32_t>& starts) {
  std::vector<std::string> broken;
  if (starts.size() != p.activities.size())
    return {fmt::format("{} starts for {} activities", starts.size(), p.activities.size())};
  for (std::size_t i = 0; i < starts.size(); ++i)
    if (starts[i] < 0) broken.push_back(fmt::format("activity {} starts at {}, before 0", i, starts[i]));
  for (const ProjectInstance::Lag& l : p.lags)
    if (starts[at(l.to)] - starts[at(l.from)] < l.lag)
      broken.push_back(fmt::format("activity {} starts {} after {}, not {}", l.to,
                                   starts[at(l.to)] - starts[at(l.from)], l.from, l.lag));
  for (std::size_t k = 0; k < p.capacity.size(); ++k) check_resource(p, starts, k, broken);
  return broken;
}

}  // namespace handlot::engine
