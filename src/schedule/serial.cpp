#include "schedule/serial.h"

#include <algorithm>
#include <cassert>
#include <utility>

#include "schedule/station_book.h"

namespace handlot::schedule {

namespace {

using plan::Edge;

std::size_t at(int i) {
  return static_cast<std::size_t>(i);
}

/// Groups of tasks that ask for each other both ways round; each task's group number.
class Circles {
 public:
  explicit Circles(const std::vector<std::vector<int>>& after)
      : after_(after), order_(after.size(), -1), low_(after.size(), 0), group_(after.size(), -1) {
    for (std::size_t t = 0; t < after.size(); ++t) {
      if (order_[t] < 0) visit(static_cast<int>(t));
    }
  }
  const std::vector<int>& group() const { return group_; }

 private:
  struct Frame {
    int task;
    std::size_t next;
  };

  void open(int task) {
    order_[at(task)] = low_[at(task)] = clock_++;
    stack_.push_back(task);
    frames_.push_back({task, 0});
  }

  void visit(int root) {
    open(root);
    while (!frames_.empty()) {
      Frame& frame = frames_.back();
      const int task = frame.task;
      if (frame.next < after_[at(task)].size()) {
        const int next = after_[at(task)][frame.next++];
        if (order_[at(next)] < 0) {
          open(next);
        } else if (group_[at(next)] < 0) {
          low_[at(task)] = std::min(low_[at(task)], order_[at(next)]);
        }
        continue;
      }
      frames_.pop_back();
      if (!frames_.empty())
        low_[at(frames_.back().task)] = std::min(low_[at(frames_.back().task)], low_[at(task)]);
      if (low_[at(task)] == order_[at(task)]) close(task);
    }
  }

  void close(int root) {
    for (int task = -1; task != root;) {
      task = stack_.back();
      stack_.pop_back();
      group_[at(task)] = groups_;
    }
    ++groups_;
  }

  const std::vector<std::vector<int>>& after_;
  std::vector<int> order_, low_, group_, stack_;
  std::vector<Frame> frames_;
  int clock_ = 0, groups_ = 0;
};

class Serial {
 public:
  Serial(const TaskSet& set, const Precedence& precedence, const Rule& rule)
      : set_(set),
        rule_(rule),
        book_(set),
        count_(set.tasks.size()),
        placed_(count_, false),
        release_(count_, 0),
        deadline_(count_, kNever),
        waits_(count_, 0),
        before_(precedence.before),
        after_(precedence.after),
        links_(precedence.links),
        place_(count_, 0),
        barred_(count_, false) {
    for (std::size_t t = 0; t < count_; ++t) {
      waits_[t] = static_cast<int>(before_[t].size());
      if (waits_[t] == 0) add_ready(static_cast<int>(t));
      if (set.tasks[t].at_start) hurry(static_cast<int>(t), 0);
    }
  }

  std::optional<Placement> run(int repairs) {
    while (sequence_.size() < count_) {
      const int task = place_next();
      if (task == kPlaced) continue;
      if (repairs-- <= 0) return std::nullopt;
      // Rather than begin a clock later the hands go on where they would have gone.
      if (!leave_step() && (task == kBlocked || !repair(task))) return std::nullopt;
    }
    return book_.placement();
  }

 private:
  static constexpr int kBlocked = -2;
  static constexpr int kPlaced = -1;

  bool first_of(int a, int b) const {
    if (deadline_[at(a)] != deadline_[at(b)]) return deadline_[at(a)] < deadline_[at(b)];
    if (rule_.rank[at(a)] != rule_.rank[at(b)]) return rule_.rank[at(a)] > rule_.rank[at(b)];
    return a < b;
  }

  /// kPlaced, kBlocked, or the task that misses its latest end.
  int place_next() {
    for (std::size_t open = ready_.size(); open > 0; --open) {
      int task = first_ready(open);
      auto found = book_.fit(task, earliest_of(task), earliest_end(task));
      if (found && rule_.stays != nullptr && deadline_[at(task)] == kNever) found = fills_better(task, *found, open);
      if (found && rule_.stay_within && deadline_[at(task)] == kNever) found = goes_on(task, *found, open);
      if (!found) {
        swap_ready(place_[at(task)], open - 1);
        continue;
      }
      if (set_.tasks[at(task)].at_start && found->start > 0) return kBlocked;
      if (late_by(task, *found) > 0) return late_at_ = *found, task;
      if (rule_.latest_finish < kNever && found->start + rule_.tail[at(task)] > rule_.latest_finish) return kBlocked;
      place(task, *found);
      return kPlaced;
    }
    return kBlocked;
  }

  /// How long the place of the task's long stay is empty behind it, for want of somebody to fill it.
  Time empty_after(const LongStay& stay, const Spot& spot) const {
    const Time end = spot.start + stay.ends_after, filled = set_.hours.attended_from(end);
    return filled >= kNever ? 0 : filled - end;
  }

  /// Another of the ready tasks whose stay at the same station leaves it empty for less, all told; `task` becomes that one.
  Spot fills_better(int& task, const Spot& found, std::size_t open) const {
    const auto& stay = (*rule_.stays)[at(task)];
    Spot best = found;
    if (!stay) return best;
    Time least = empty_after(*stay, found);
    for (std::size_t i = 0; i < open && least > 0; ++i) {
      const int other = ready_[i];
      const auto& theirs = (*rule_.stays)[at(other)];
      if (!theirs || theirs->station != stay->station || theirs->ends_after == stay->ends_after) continue;
      const auto spot = book_.fit(other, earliest_of(other), earliest_end(other));
      if (!spot || late_by(other, *spot) > 0) continue;
      const Time loss = empty_after(*theirs, *spot) + std::max<Time>(0, spot->start - found.start);
      if (loss >= least) continue;
      least = loss;
      best = *spot;
      task = other;
    }
    return best;
  }

  /// The hands that were last given something to do, still at it: another of the ready tasks of that step, which `task`
  /// becomes.
  Spot goes_on(int& task, const Spot& found, std::size_t open) {
    const auto last = std::find_if(sequence_.rbegin(), sequence_.rend(), [&](int t) { return set_.tasks[at(t)].hands > 0; });
    if (last == sequence_.rend() || set_.tasks[at(task)].step == set_.tasks[at(*last)].step) return found;
    int next = -1;
    for (std::size_t i = 0; i < open; ++i) {
      const int other = ready_[i];
      if (barred_[at(other)] || set_.tasks[at(other)].step != set_.tasks[at(*last)].step) continue;
      if (next < 0 || first_of(other, next)) next = other;
    }
    if (next < 0 || rule_.rank[at(task)] - rule_.rank[at(next)] > rule_.stay_reach) return found;
    const auto spot = book_.fit(next, earliest_of(next), earliest_end(next));
    const Time free = book_.spot(*last).hands_end;
    if (!spot || spot->person != book_.spot(*last).person || spot->start < free || set_.hours.open_between(free, spot->start) > 0) return found;
    if (late_by(next, *spot) > 0 || spot->start + rule_.tail[at(next)] + *rule_.stay_within > rule_.latest_finish) return found;
    stays_.push_back({sequence_.size(), next});
    task = next;
    return *spot;
  }

  /// The first in order of those at the first `open` places.
  int first_ready(std::size_t open) const {
    int first = ready_[0];
    for (std::size_t i = 1; i < open; ++i) {
      if (first_of(ready_[i], first)) first = ready_[i];
    }
    return first;
  }

  void swap_ready(std::size_t a, std::size_t b) {
    std::swap(ready_[a], ready_[b]);
    place_[at(ready_[a])] = a;
    place_[at(ready_[b])] = b;
  }

  void add_ready(int task) {
    place_[at(task)] = ready_.size();
    ready_.push_back(task);
  }

  void drop_ready(int task) {
    swap_ready(place_[at(task)], ready_.size() - 1);
    ready_.pop_back();
  }

  Time event(int task, Edge edge) const { return edge == Edge::start ? book_.start(task) : book_.end(task); }

  Time earliest_of(int task) const {
    Time earliest = rule_.not_before.empty() ? release_[at(task)] : std::max(release_[at(task)], rule_.not_before[at(task)]);
    for (const int l : links_[at(task)]) {
      const Link& link = set_.links[at(l)];
      if (link.to == task && link.to_edge == Edge::start && placed_[at(link.from)]) {
        earliest = std::max(earliest, event(link.from, link.from_edge) + link.min);
      }
      if (link.from == task && link.from_edge == Edge::start && placed_[at(link.to)] && link.max < kNever) {
        earliest = std::max(earliest, event(link.to, link.to_edge) - link.max);
      }
    }
    return earliest;
  }

  /// The same for the task's end.
  Time earliest_end(int task) const {
    Time earliest = 0;
    for (const int l : links_[at(task)]) {
      const Link& link = set_.links[at(l)];
      if (link.to == task && link.to_edge == Edge::end && placed_[at(link.from)]) {
        earliest = std::max(earliest, event(link.from, link.from_edge) + link.min);
      }
      if (link.from == task && link.from_edge == Edge::end && placed_[at(link.to)] && link.max < kNever) {
        earliest = std::max(earliest, event(link.to, link.to_edge) - link.max);
      }
    }
    return earliest;
  }

  /// How far a spot misses what placed task `other` allows over this link; 0 or less when it keeps it.
  Time late_by(const Link& link, int task, const Spot& spot) const {
    const auto mine = [&](Edge edge) { return edge == Edge::start ? spot.start : spot.end; };
    if (link.from == link.to) return 0;
    if (link.to == task)
      return link.max == kNever ? 0 : mine(link.to_edge) - event(link.from, link.from_edge) - link.max;
    return mine(link.from_edge) - (event(link.to, link.to_edge) - link.min);
  }

  Time late_by(int task, const Spot& spot) const {
    Time most = 0;
    for (const int l : links_[at(task)]) {
      const Link& link = set_.links[at(l)];
      if (placed_[at(link.from == task ? link.to : link.from)])
        most = std::max(most, late_by(link, task, spot));
    }
    return most;
  }

  void place(int task, const Spot& spot) {
    book_.enter(task, spot);
    placed_[at(task)] = true;
    sequence_.push_back(task);
    marks_.push_back(hurried_.size());
    drop_ready(task);
    for (const int next : after_[at(task)]) {
      if (--waits_[at(next)] == 0) add_ready(next);
    }
    start_clocks(task);
  }

  /// Tasks that a maximum link from `task` now hurries, and all that must come before them.
  void start_clocks(int task) {
    for (const int l : links_[at(task)]) {
      const Link& link = set_.links[at(l)];
      if (link.from == task && link.max <= rule_.urgent_within)
        hurry(link.to, event(task, link.from_edge) + link.max);
    }
  }

  void hurry(int task, Time deadline) {
    std::vector<int> open{task};
    while (!open.empty()) {
      const int now = open.back();
      open.pop_back();
      if (placed_[at(now)] || deadline_[at(now)] <= deadline) continue;
      hurried_.push_back({now, deadline_[at(now)]});
      deadline_[at(now)] = deadline;
      open.insert(open.end(), before_[at(now)].begin(), before_[at(now)].end());
    }
  }

  /// Takes back the last turn at which the hands stayed at a step, and all since; that task waits for its own turn.
  bool leave_step() {
    if (stays_.empty()) return false;
    const Stay last = stays_.back();
    barred_[at(last.task)] = true;
    while (sequence_.size() > last.placed) take_back();
    return true;
  }

  /// Sends the tasks that hold the late one back to later starts, and takes back what was placed since the
  /// first of them.
  bool repair(int task) {
    std::size_t first = sequence_.size();
    for (const int l : links_[at(task)]) {
      const Link& link = set_.links[at(l)];
      const int other = link.from == task ? link.to : link.from;
      if (other == task || !placed_[at(other)] || set_.tasks[at(other)].at_start) continue;
      const Time late = late_by(link, task, late_at_);
      if (late <= 0) continue;
      release_[at(other)] = std::max(release_[at(other)], book_.start(other) + late);
      first = std::min(first, static_cast<std::size_t>(std::find(sequence_.begin(), sequence_.end(), other) -
                                                       sequence_.begin()));
    }
    if (first == sequence_.size()) return false;
    while (sequence_.size() > first) take_back();
    return true;
  }

  void take_back() {
    const int task = sequence_.back();
    sequence_.pop_back();
    if (!stays_.empty() && stays_.back().placed == sequence_.size()) stays_.pop_back();
    placed_[at(task)] = false;
    for (; hurried_.size() > marks_.back(); hurried_.pop_back())
      deadline_[at(hurried_.back().task)] = hurried_.back().before;
    marks_.pop_back();
    book_.remove(task);
    for (const int next : after_[at(task)]) {
      if (waits_[at(next)]++ == 0) drop_ready(next);
    }
    add_ready(task);
  }

  const TaskSet& set_;
  const Rule& rule_;
  StationBook book_;
  std::size_t count_;
  std::vector<bool> placed_;
  std::vector<Time> release_, deadline_;
  std::vector<int> waits_;
  const std::vector<std::vector<int>>&before_, &after_, &links_;
  std::vector<int> sequence_;
  std::vector<int> ready_;          ///< not placed, and all that must come before is
  std::vector<std::size_t> place_;  ///< of each ready task in `ready_`
  struct Hurried {
    int task;
    Time before;
  };
  std::vector<Hurried> hurried_;    ///< deadlines as they were, newest last
  std::vector<std::size_t> marks_;  ///< how many of them there were before each placed task
  Spot late_at_;
  struct Stay {
    std::size_t placed;  ///< tasks before it
    int task;
  };
  std::vector<Stay> stays_;   ///< turns at which the hands stayed at a step
  std::vector<bool> barred_;  ///< they may not for this one
};

}  // namespace

Precedence::Precedence(const TaskSet& set)
    : before(set.tasks.size()), after(set.tasks.size()), links(set.tasks.size()) {
  for (std::size_t l = 0; l < set.links.size(); ++l) {
    const Link& link = set.links[l];
    links[at(link.from)].push_back(static_cast<int>(l));
    if (link.to != link.from) links[at(link.to)].push_back(static_cast<int>(l));
    if (link.min >= 0 && link.from != link.to) after[at(link.from)].push_back(link.to);
  }
  const Circles circles(after);
  for (std::size_t t = 0; t < after.size(); ++t) {
    auto& next = after[t];
    std::sort(next.begin(), next.end());
    next.erase(std::unique(next.begin(), next.end()), next.end());
    std::erase_if(next, [&](int other) { return circles.group()[at(other)] == circles.group()[t]; });
    for (const int other : next) before[at(other)].push_back(static_cast<int>(t));
  }
}

std::vector<Time> tails(const TaskSet& set) {
  const auto length = [&](int t) { return set.tasks[at(t)].hands + set.tasks[at(t)].alone; };
  std::vector<Time> tail(set.tasks.size());
  for (std::size_t t = 0; t < tail.size(); ++t) tail[t] = length(static_cast<int>(t));
  bool moved = true;
  for (std::size_t round = 0; moved && round <= tail.size(); ++round) {
    moved = false;
    for (std::size_t l = set.links.size(); l-- > 0;) {
      const Link& link = set.links[l];
      const Time before = link.from_edge == Edge::end ? length(link.from) : 0;
      const Time inside = link.to_edge == Edge::end ? length(link.to) : 0;
      const Time wanted = before + link.min + tail[at(link.to)] - inside;
      if (wanted <= tail[at(link.from)]) continue;
      tail[at(link.from)] = wanted;
      moved = true;
    }
  }
  return tail;
}

std::optional<Placement> place_serially(const TaskSet& set, const Precedence& precedence, const Rule& rule,
                                        int repairs) {
  return Serial(set, precedence, rule).run(repairs);
}

}  // namespace handlot::schedule
