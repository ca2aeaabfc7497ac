// station_book.h: what people, stations and fixtures are already promised to, and the next moment they are
// free.
#pragma once

#include <optional>
#include <vector>

#include "schedule/tasks.h"

namespace handlot::schedule {

/// Where a task would lie.
struct Spot {
  Time start = 0;
  Time hands_end = 0;
  Time end = 0;
  Time change = 0;
  int person = -1;
};

/// A partly made schedule. Keeps every rule of check.h but the links.
class StationBook {
 public:
  explicit StationBook(const TaskSet& set);

  /// The first spot for `task` (of those of several people who pause each in their own way, the one that ends first) that starts at or after `earliest` and ends at or after `earliest_end`, with
  /// everything entered left where it is. None if a resource is held by a task whose end is not known yet, or
  /// hours run out.
  std::optional<Spot> fit(int task, Time earliest, Time earliest_end) const;

  void enter(int task, const Spot& spot);
  void remove(int task);

  Time start(int task) const { return spots_[static_cast<std::size_t>(task)].start; }
  Time end(int task) const { return spots_[static_cast<std::size_t>(task)].end; }
  const Spot& spot(int task) const { return spots_[static_cast<std::size_t>(task)]; }
  Placement placement() const;

 private:
  struct Hold {
    Time from = 0;
    Time to = 0;
    int count = 0;
    int task = 0;
    int need = -1;  ///< number among the task's needs; -1: a person's hands
  };

  const Task& task_of(int task) const { return set_.tasks[static_cast<std::size_t>(task)]; }
  const Station& station(int resource) const { return set_.stations[static_cast<std::size_t>(resource)]; }
  const std::vector<Hold>& holds(int resource) const { return holds_[static_cast<std::size_t>(resource)]; }

  Time release(int task, const Need& need, Time end) const;
  Time release(const Hold& hold, int asking, Time asking_start) const;
  Time change_over(int task, Time start) const;
  std::optional<int> before_on(int resource, int task, Time start) const;
  bool pauses_for_absences(int task) const;
  std::optional<Spot> fit(int task, Time earliest, Time earliest_end, int person) const;
  Time next_start(int task, const Spot& spot, const ShopHours& hours, Time earliest_end) const;
  Time begun_from(int task, const Spot& spot) const;

  // Each gives the moment to try next, or spot.start when nothing is in the way, or kNever.
  Time free_from(int person, Time from, Time length, bool pauses) const;
  Time blocked_people(int task, Spot& spot) const;
  Time blocked_capacity(int task, const Need& need, const Spot& spot) const;
  Time blocked_single(int task, const Need& need, const Spot& spot) const;
  Time blocked_together(int task, const Need& need, const Spot& spot) const;
  Time warm_from_cold(const Station& oven, Time last, Time start) const;
  Time blocked_warmth(int task, const Need& need, const Spot& spot) const;
  Time blocked_families(int task, const Need& need, const Spot& spot) const;
  Time blocked_apart(int task, const Spot& spot) const;
  Time blocked(int task, Spot& spot) const;

  void refresh(int task);
  void insert(int resource, const Hold& hold);
  void erase(int resource, int task);
  std::size_t first_after(int resource, Time moment) const;

  const TaskSet& set_;
  std::vector<Spot> spots_;
  std::vector<bool> entered_;
  std::vector<std::vector<Hold>> holds_;       ///< of each resource, by `from`
  std::vector<std::vector<int>> released_by_;  ///< tasks with holds that end when this task starts
  std::vector<std::vector<int>> apart_;        ///< numbers in TaskSet::apart that touch each step
};

}  // namespace handlot::schedule
