// places.h: which stations and counted fixtures are taken at a moment, by the record: what hands are at, what runs by itself
// and what is held over a cure. A unit that is scrapped takes no place.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plan/plan.h"
#include "record/state.h"

namespace handlot::record {

/// No place for a step: in use, held, or not to be had.
struct NoPlace {
  StepId by;          ///< what takes it; empty: reported as not to be had
  std::string text;   ///< "oven is in use until Thu 14 Jan 15:18: step 60 (Reflow), units 2 to 6", without full stop
  double wait_s = 0;  ///< it is free by itself so long from now; 0: hands must end something first, or nobody knows
};

/// What stands against one more unit (0 = the whole lot) at the places of the step: one line a place.
///
///   one by one    a place is taken from begin to done, and over the cure that holds it
///   together      units may join while hands load it; once it runs, for a quarter of an hour, another step that the plan begins with it
///   not by unit   a jig that the plan gives to several units at once is theirs together
///
/// Given    the unit has not begun the step.
/// Cost     steps that use the place x their units begun.
std::vector<NoPlace> no_place(const plan::Plan& plan, const State& state, const plan::Step& step, int unit, const Moment& now);

/// So many units can begin the step together now, by its places and by the most that the plan lets through at once; at
/// least 1, for whoever begins one all the same.
std::size_t room(const plan::Plan& plan, const State& state, const plan::Step& step, const Moment& now);

/// Places of a station or fixture that are free, for this unit and step, so many seconds from now; of what hands must first
/// clear none is. Nothing: a person, or no resource of the plan.
struct FreePlaces {
  std::string name;
  int count = 0;
  bool together = false;  ///< one run for all: what is free says little
};
std::optional<FreePlaces> free_places(const plan::Plan& plan, const State& state, const ResourceId& resource, const plan::Step& step, int unit,
                                      const Moment& now, double in_s);

/// What is reported as not to be had at `now`, and for how long yet. Cost  reports.
struct Missing {
  const plan::Resource* resource = nullptr;
  double wait_s = 0;
};
std::vector<Missing> missing(const plan::Plan& plan, const State& state, const Moment& now);

/// Units that ran by themselves in a station, one that warms up or runs its units together, when it was reported as not to be had:
/// the fuse blew with the board in the oven.
struct CutRun {
  const plan::Resource* resource = nullptr;
  StepId step;
  std::vector<int> units;  ///< {0} = the whole lot
};
/// Until the step is done, or to be done again; struck reports count for nothing. Cost  reports x cells.
std::vector<CutRun> cut_runs(const plan::Plan& plan, const State& state);

/// "Thu 14 Jan 15:18" by the clock of the shop, so many seconds from now; the minute that is begun counts whole.
std::string clock_in(const plan::Plan& plan, const Moment& now, double seconds);

}  // namespace handlot::record
