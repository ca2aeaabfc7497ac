// schedule.h: what is done when, by whom, on what; and how good that is.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <vector>

#include "core/id.h"
#include "core/quantity.h"
#include "plan/constraint.h"
#include "plan/step.h"

namespace handlot::plan {

/// Half-open: [open, close).
struct Interval {
  Instant open;
  Instant close;
  auto operator<=>(const Interval&) const = default;
};

struct Resource {
  enum class Kind { person, station, fixture };
  ResourceId id;
  std::string name;
  Kind kind = Kind::station;
  int capacity = 1;         ///< people: 1; oven: boards that fit; clamps: how many there are
  Duration warm_up{0};      ///< unattended, once a session, before the first use
  Duration stays_warm{0};   ///< a session ends when idle longer than this
  Duration change_over{0};  ///< hands-on, between material families
  bool together = false;    ///< operations that share it start together (one oven run), capacity counts units
  std::vector<Interval> away = {};  ///< people: not there, though the shop is open; ascending, and they do not touch
  std::optional<Instant> used_until = {};  ///< the last use that began before Work::start ended, or ends, then: it may be warm from it
};

/// The work as the schedule sees it: no devices, only steps, links and a shop.
/// `hours` are ascending and do not touch; hands-on work fits inside them, everything else runs in wall time.
struct Work {
  int units = 1;
  Instant start;                 ///< nothing begins sooner
  std::vector<Resource> resources;
  std::vector<Interval> hours;
  std::vector<Step> steps;       ///< in plan order
  std::vector<Constraint> constraints;
  std::vector<NeverTogether> apart;
  std::vector<LookFirst> looks;
};

struct Operation {
  StepId step;
  int first_unit = 1;  ///< 1-based, inclusive
  int last_unit = 1;
  Instant start;
  Instant hands_end;   ///< hands are free from here (with pauses inside when the step may pause)
  Instant end;         ///< with the unattended part
  Duration hands_on{0};
  std::vector<ResourceId> people;
  std::vector<Use> uses;
  std::string because; ///< what kept it from starting sooner
  std::set<int> without = {};  ///< units between the first and the last that it leaves out: scrapped, or further than the others
};

/// What one way of cutting a step into sub-batches costs.
struct BatchCost {
  StepId step;
  int size = 1;
  std::optional<Duration> makespan;  ///< empty: not possible, `why` says
  bool chosen = false;
  std::string why;
};

/// What would free an infeasible or slow plan, tried by the solver itself.
struct Relief {
  std::string text;                 ///< "two more clamps"
  std::optional<Duration> saves;    ///< of the makespan; empty: makes it possible
};

struct Schedule {
  enum class Status { optimal, feasible, infeasible, stopped };
  Status status = Status::stopped;  ///< feasible: bound not reached yet; stopped: nothing found within the limit
  Instant start;
  Instant finish;
  Duration makespan{0};  ///< finish - start, wall time
  Duration bound{0};     ///< proven: no schedule has a shorter makespan
  Duration hands_on{0};  ///< sum over people
  int setups = 0;
  std::vector<Operation> operations;  ///< by start, then step, then unit
  std::vector<BatchCost> batches;
  std::vector<Relief> reliefs;
  std::vector<Reason> clash;          ///< infeasible: the smallest set of reasons that cannot all hold
  std::string stopped_by;             ///< "0.2 s", "20000 conflicts"; empty when proven
};
std::string_view word(Schedule::Status status);

}  // namespace handlot::plan
