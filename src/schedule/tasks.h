// tasks.h: the work cut into operations, with numbers in place of names.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plan/schedule.h"
#include "schedule/numbers.h"
#include "schedule/shop_hours.h"

namespace handlot::schedule {

/// A run of consecutive units, 1-based, both ends included.
struct Run {
  int first = 1;
  int last = 1;
  int size() const { return last - first + 1; }
  bool operator==(const Run&) const = default;
};

/// How a step is cut when its sub-batch size is `size`: all of that size but a smaller last one; one run for a whole-lot
/// step. Where the first piece is checked, or goes ahead to be looked at, unit 1 alone, then the rest of the first sub-batch, or a whole one if that saves
/// a run:
///
///     7 units in threes    1 | 2 3 4 | 5 6 7
///     8 units in threes    1 | 2 3 | 4 5 6 | 7 8
///
/// Where the last would be smaller than is allowed, and this size is the smallest that makes so few runs: as equal as can be,
/// if that keeps what is allowed. 13 units in fours to sixes, at most five: 5 | 4 | 4.
std::vector<Run> runs_of(const plan::Timing& timing, int units, int size);

/// The sub-batch sizes that make a difference, ascending. Given  batch_min <= batch_max or batch_max = 0.
///   Sizes that give the same runs are named once, by the smallest.
std::vector<int> sizes_of(const plan::Timing& timing, int units);

/// One resource need of a task. `until`: held at least until all of these tasks start.
struct Need {
  int resource = 0;
  int count = 1;
  Time hold = 0;           ///< after the task's end
  std::vector<int> until;  ///< task numbers
};

struct Task {
  int step = 0;
  Run run;
  Time hands = 0;  ///< hands-on, change-over not counted
  Time alone = 0;  ///< after the hands: machine time and waiting
  bool may_pause = false;
  bool at_start = false;    ///< begins at 0
  int setups = 0;           ///< 1 if it has a set-up
  std::vector<int> people;  ///< resource numbers that may do it
  std::vector<Need> needs;
  int family = 0;  ///< 0 = none
  bool begun = false;        ///< somebody must be there to begin it, though it needs no hands
  std::vector<int> follows;  ///< where it is `begun`: at the end of these tasks it begins by itself
};

/// min <= time(to) - time(from) <= max.
struct Link {
  int from = 0;
  plan::Edge from_edge = plan::Edge::start;
  int to = 0;
  plan::Edge to_edge = plan::Edge::start;
  Time min = 0;  ///< -kNever: none
  Time max = kNever;
  int constraint = -1;  ///< number in Work::constraints; -1: order of equal units or first piece
  int look = -1;        ///< number in Work::looks
};

/// Tasks of two steps that may not meet.
struct Apart {
  int step_a = 0;
  int step_b = 0;
  Time clear_after_a = 0;
  Time clear_after_b = 0;
  int number = 0;  ///< in Work::apart
};

/// A station with something to remember: families, warmth, shared runs; or a person.
struct Station {
  int capacity = 1;
  bool person = false;
  bool together = false;
  Time warm_up = 0;
  Time stays_warm = 0;
  Time change_over = 0;
  std::vector<OpenSpan> away = {};  ///< of a person; ascending
  Time used_until = -kNever;        ///< by what began before the work; negative where it ended before
};

std::vector<Station> stations_of(const plan::Work& work);

/// The shop hours in which each person is there who is away at times; none of the others, who have those of the shop.
std::vector<ShopHours> presence_of(const plan::Work& work);

/// The work for one choice of sub-batch sizes. Tasks stand by step, then by run.
struct TaskSet {
  ShopHours hours;
  std::vector<ShopHours> presence;  ///< one a resource
  std::vector<Station> stations;    ///< one a resource
  std::vector<Task> tasks;
  std::vector<Link> links;
  std::vector<Apart> apart;
  std::vector<int> first_task;  ///< of each step, and one past the last
  std::vector<int> sizes;       ///< of each step
};

/// Given  the work has no faults (faults.h); one size a step, out of sizes_of.
TaskSet cut(const Numbers& numbers, const std::vector<int>& sizes);

/// Where each task starts, who does it, and the change-over it has.
struct Placement {
  std::vector<Time> start;
  std::vector<Time> change;  ///< 0 where there is none
  std::vector<int> person;   ///< resource number, -1 for nobody
};

/// The hours in which `person` (-1: nobody) works at a task: who may pause does so over an absence too.
const ShopHours& hours_at(const TaskSet& set, int task, int person);

Time hands_end(const TaskSet& set, const Placement& placement, int task);
Time task_end(const TaskSet& set, const Placement& placement, int task);
Time finish_of(const TaskSet& set, const Placement& placement);

/// In words again, with `because` filled in. Status, bound, batches, reliefs and clash are left to the
/// caller.
plan::Schedule in_words(const plan::Work& work, const TaskSet& set, const Placement& placement);

}  // namespace handlot::schedule
