#include "schedule/solution.h"

#include <algorithm>
#include <tuple>

namespace handlot::schedule {

namespace {

/// Shop hours in which a person is not there: nobody waits then.
Time away_between(const TaskSet& set, std::size_t person, Time first, Time last) {
  Time sum = 0;
  for (const OpenSpan& away : set.stations[person].away) {
    const Time from = std::max(first, away.open), to = std::min(last, away.close);
    if (from < to) sum += set.hours.open_between(from, to);
  }
  return sum;
}

Time waiting_of(const TaskSet& set, const Placement& p) {
  Time sum = 0;
  for (std::size_t r = 0; r < set.stations.size(); ++r) {
    Time first = kNever, last = 0, busy = 0;
    for (std::size_t t = 0; t < set.tasks.size(); ++t) {
      if (p.person[t] != static_cast<int>(r)) continue;
      first = std::min(first, p.start[t]);
      last = std::max(last, hands_end(set, p, static_cast<int>(t)));
      busy += set.tasks[t].hands + p.change[t];
    }
    if (first < last) sum += set.hours.open_between(first, last) - away_between(set, r, first, last) - busy;
  }
  return sum;
}

Time tightness_of(const TaskSet& set, const Placement& p) {
  Time least = kNever;
  const auto event = [&](int task, plan::Edge edge) {
    return edge == plan::Edge::start ? p.start[static_cast<std::size_t>(task)] : task_end(set, p, task);
  };
  for (const Link& link : set.links) {
    if (link.max == kNever) continue;
    const Time lag = event(link.to, link.to_edge) - event(link.from, link.from_edge);
    least = std::min(least, link.max - lag);
  }
  return least == kNever ? 0 : -least;
}

}  // namespace

Score score_of(const TaskSet& set, const Placement& placement) {
  Score score;
  score.finish = finish_of(set, placement);
  for (std::size_t t = 0; t < set.tasks.size(); ++t) {
    score.setups += set.tasks[t].setups + (placement.change[t] > 0 ? 1 : 0);
  }
  score.waiting = waiting_of(set, placement);
  score.tightness = tightness_of(set, placement);
  return score;
}

int changes_of_work(const TaskSet& set, const Placement& placement) {
  std::vector<std::tuple<int, Time, int>> turns;  // person, start, step
  for (std::size_t t = 0; t < set.tasks.size(); ++t) {
    if (placement.person[t] >= 0 && set.tasks[t].hands > 0) turns.push_back({placement.person[t], placement.start[t], set.tasks[t].step});
  }
  std::sort(turns.begin(), turns.end());
  int changes = 0;
  for (std::size_t i = 1; i < turns.size(); ++i) {
    const auto& [person, start, step] = turns[i];
    if (std::get<0>(turns[i - 1]) == person && std::get<2>(turns[i - 1]) != step) ++changes;
  }
  return changes;
}

}  // namespace handlot::schedule
