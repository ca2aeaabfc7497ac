#include "schedule/long_stays.h"

#include <algorithm>
#include <map>

namespace handlot::schedule {

namespace {

using plan::Edge;

constexpr Time kLong = 4 * 3600;  ///< shorter ones end on the day that they begin, as a rule
constexpr Time kShortClock = 12 * 3600;

std::size_t at(int i) {
  return static_cast<std::size_t>(i);
}

Time length_of(const Task& t) {
  return t.hands + t.alone;
}

std::optional<LongStay> own_stay(const TaskSet& set, const Task& t) {
  if (t.alone < kLong) return std::nullopt;
  const auto need = std::find_if(t.needs.begin(), t.needs.end(), [&](const Need& n) {
    return !set.stations[at(n.resource)].together && !set.stations[at(n.resource)].person;
  });
  if (need == t.needs.end()) return std::nullopt;
  return LongStay{need->resource, length_of(t) + need->hold};
}

}  // namespace

std::vector<std::optional<LongStay>> long_stays(const TaskSet& set) {
  std::vector<std::optional<LongStay>> stays;
  stays.reserve(set.tasks.size());
  for (const Task& t : set.tasks) stays.push_back(own_stay(set, t));
  for (bool moved = true; moved;) {
    moved = false;
    for (const Link& link : set.links) {
      auto& mine = stays[at(link.from)];
      const auto& behind = stays[at(link.to)];
      if (mine || !behind || link.max > kShortClock || link.to_edge == Edge::end) continue;
      const Time before = link.from_edge == Edge::end ? length_of(set.tasks[at(link.from)]) : 0;
      mine = LongStay{behind->station, before + std::max<Time>(0, link.min) + behind->ends_after};
      moved = true;
    }
  }
  return stays;
}

bool differ(const std::vector<std::optional<LongStay>>& stays) {
  std::map<int, Time> lengths;
  return std::any_of(stays.begin(), stays.end(), [&](const auto& stay) {
    return stay && lengths.try_emplace(stay->station, stay->ends_after).first->second != stay->ends_after;
  });
}

}  // namespace handlot::schedule
