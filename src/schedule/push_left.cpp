#include "schedule/push_left.h"

#include <algorithm>

#include "schedule/station_book.h"

namespace handlot::schedule {

namespace {

using plan::Edge;

constexpr int kRounds = 4;
constexpr std::size_t kJoined = 8;  ///< tasks that are moved together
constexpr int kSpare = 2;           ///< a clock is to keep at least one part in so many of its time

std::size_t at(int i) {
  return static_cast<std::size_t>(i);
}

class Pushing {
 public:
  Pushing(const TaskSet& set, const Precedence& precedence, const Placement& placement) : set_(set), links_(precedence.links), book_(set) {
    for (std::size_t t = 0; t < set.tasks.size(); ++t) order_.push_back(static_cast<int>(t));
    std::stable_sort(order_.begin(), order_.end(), [&](int a, int b) { return placement.start[at(a)] < placement.start[at(b)]; });
    spots_.resize(order_.size());
    for (const int t : order_) {
      enter(t, {placement.start[at(t)], hands_end(set, placement, t), task_end(set, placement, t), placement.change[at(t)], placement.person[at(t)]});
    }
  }

  Placement run() {
    bool moved = true;
    for (int round = 0; moved && round < kRounds; ++round) {
      moved = false;
      for (const int task : order_) moved = push(joined(task)) || moved;
    }
    return book_.placement();
  }

  Placement late() {
    for (auto task = order_.rbegin(); task != order_.rend(); ++task) hold_back(*task);
    return book_.placement();
  }

 private:
  void enter(int task, const Spot& spot) {
    spots_[at(task)] = spot;
    book_.enter(task, spot);
  }

  bool stays(int task) const {
    const Task& t = set_.tasks[at(task)];
    return t.at_start || t.family != 0 || std::any_of(t.needs.begin(), t.needs.end(), [&](const Need& need) {
             return set_.stations[at(need.resource)].warm_up > 0;
           });
  }

  /// The task and all that its latest ends hurry, by start.
  std::vector<int> joined(int task) const {
    std::vector<int> all{task};
    for (std::size_t i = 0; i < all.size(); ++i) {
      if (all.size() > kJoined) return all;
      for (const int l : links_[at(all[i])]) {
        const Link& link = set_.links[at(l)];
        if (link.from != all[i] || link.max >= kNever || std::find(all.begin(), all.end(), link.to) != all.end()) continue;
        all.push_back(link.to);
      }
    }
    std::stable_sort(all.begin(), all.end(), [&](int a, int b) { return spots_[at(a)].start < spots_[at(b)].start; });
    return all;
  }

  Time event(const std::vector<Spot>& spots, int task, Edge edge) const {
    return edge == Edge::start ? spots[at(task)].start : spots[at(task)].end;
  }

  bool push(const std::vector<int>& tasks) {
    if (tasks.size() > kJoined) return false;
    const std::vector<Spot> before = spots_;
    bool moved = false;
    for (const int task : tasks) moved = push(task) || moved;
    if (!moved || !nearer(tasks, before)) return moved;
    for (const int task : tasks) book_.remove(task);
    for (const int task : tasks) enter(task, before[at(task)]);
    return false;
  }

  /// A latest end is nearer than it was.
  bool nearer(const std::vector<int>& tasks, const std::vector<Spot>& before) const {
    for (const int task : tasks) {
      for (const int l : links_[at(task)]) {
        const Link& link = set_.links[at(l)];
        if (link.from != task || link.max >= kNever) continue;
        const Time was = event(before, link.to, link.to_edge) - event(before, task, link.from_edge);
        if (event(spots_, link.to, link.to_edge) - event(spots_, task, link.from_edge) > was) return true;
      }
    }
    return false;
  }

  Time half(const Link& link) const {
    const Time least = std::max<Time>(0, link.min);
    return least + (link.max - least) / kSpare;
  }

  /// It starts a clock that has less than half of its time left.
  bool wastes(int task) const {
    return std::any_of(links_[at(task)].begin(), links_[at(task)].end(), [&](int l) {
      const Link& link = set_.links[at(l)];
      return link.from == task && link.to != task && link.max < kNever &&
             event(spots_, link.to, link.to_edge) - event(spots_, task, link.from_edge) > half(link);
    });
  }

  /// Something is held until it starts.
  bool releases(int task) const {
    return std::any_of(set_.tasks.begin(), set_.tasks.end(), [&](const Task& t) {
      return std::any_of(t.needs.begin(), t.needs.end(), [&](const Need& need) {
        return std::find(need.until.begin(), need.until.end(), task) != need.until.end();
      });
    });
  }

  /// The last start and the last end that the links leave to `task`.
  void may_wait(const Link& link, int task, Time& start, Time& end) const {
    if (link.from == link.to) return;
    if (link.from == task) {
      Time& mine = link.from_edge == Edge::start ? start : end;
      if (link.min > -kNever) mine = std::min(mine, event(spots_, link.to, link.to_edge) - link.min);
    } else if (link.max < kNever) {
      Time& mine = link.to_edge == Edge::start ? start : end;
      mine = std::min(mine, event(spots_, link.from, link.from_edge) + half(link));
    }
  }

  void hold_back(int task) {
    if (stays(task) || !wastes(task) || releases(task)) return;
    const std::vector<Spot> before = spots_;
    book_.remove(task);
    Time start = kNever, end = kNever;
    for (const int l : links_[at(task)]) may_wait(set_.links[at(l)], task, start, end);
    for (const int other : order_) {
      if (spots_[at(other)].start < before[at(task)].start || spots_[at(other)].start >= std::min(start, end)) continue;
      const std::vector<int> tasks = joined(other);
      if (std::find(tasks.begin(), tasks.end(), task) == tasks.end()) push(tasks);
    }
    if (const auto found = last_place(task, start, end)) {
      enter(task, *found);
      return;
    }
    for (const int other : order_)
      if (other != task) book_.remove(other);
    for (const int other : order_) enter(other, before[at(other)]);
  }

  /// The last place before `start` and `end`, and after where it is, in which its hands are done when others begin.
  std::optional<Spot> last_place(int task, Time start, Time end) const {
    std::vector<Time> tries{start};
    if (end < kNever) tries.push_back(end - (spots_[at(task)].end - spots_[at(task)].start));
    for (const int other : order_) tries.push_back(spots_[at(other)].start - set_.tasks[at(task)].hands);
    std::sort(tries.rbegin(), tries.rend());
    for (const Time t : tries) {
      if (t > start || t >= kNever) continue;
      if (t <= spots_[at(task)].start) break;
      const auto found = book_.fit(task, t, 0);
      if (found && found->start == t && found->end <= end) return found;
    }
    return std::nullopt;
  }

  bool push(int task) {
    if (stays(task)) return false;
    const Spot old = spots_[at(task)];
    Time start = 0, end = 0;
    for (const int l : links_[at(task)]) wait_for(set_.links[at(l)], task, start, end);
    if (start >= old.start) return false;
    book_.remove(task);
    const auto found = book_.fit(task, start, end);
    const bool sooner = found && found->start < old.start && found->end <= old.end;
    enter(task, sooner ? *found : old);
    return sooner;
  }

  /// The first start and the first end that a link leaves to `task`.
  void wait_for(const Link& link, int task, Time& start, Time& end) const {
    if (link.from == link.to) return;
    if (link.to == task) {
      Time& mine = link.to_edge == Edge::start ? start : end;
      mine = std::max(mine, event(spots_, link.from, link.from_edge) + link.min);
    } else if (link.max < kNever) {
      Time& mine = link.from_edge == Edge::start ? start : end;
      mine = std::max(mine, event(spots_, link.to, link.to_edge) - link.max);
    }
  }

  const TaskSet& set_;
  const std::vector<std::vector<int>>& links_;
  StationBook book_;
  std::vector<Spot> spots_;
  std::vector<int> order_;
};

}  // namespace

Placement push_left(const TaskSet& set, const Precedence& precedence, const Placement& placement) {
  return Pushing(set, precedence, placement).run();
}

Placement start_clocks_late(const TaskSet& set, const Precedence& precedence, const Placement& placement) {
  return Pushing(set, precedence, placement).late();
}

}  // namespace handlot::schedule
