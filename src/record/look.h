// look.h: now, next and waiting: what the hands should do, worked out from plan and record.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plan/plan.h"
#include "record/admit.h"
#include "record/places.h"
#include "record/state.h"
#include "record/timers.h"

namespace handlot::record {

/// A step for the units that take it together.
struct Task {
  StepId step;
  std::vector<int> units;  ///< not done yet; {0} = the whole lot
  bool in_hand = false;
  bool ready = false;                ///< nothing stands against beginning it
  std::vector<Obstacle> obstacles;   ///< for the first unit that is not ready
  std::optional<double> ready_in_s;  ///< when only time is missing
  std::string better_later;  ///< ready, but what must follow soon after cannot: why
  bool in_vain = false;      ///< for a clock runs already, and cannot be kept
};

/// Units whose clock cannot be kept any more. What is to be done about it is done sooner with less trouble: wet paste is washed
/// off, dry paste is scraped.
struct Lost {
  std::vector<int> units;
  StepId from;      ///< what began the clock, and is done again
  std::string why;  ///< with what to do
};

struct View {
  /// In hand, else what ran by itself and is over, unless a latest end is close or somebody has put it off, else what is late and
  /// still better done, else the first that is ready and does not make another miss its
  /// latest end, else whatever else is late; none: wait, or finished.
  std::optional<Task> now;
  std::string kept_free;       ///< why hands wait although something is ready: a latest end is near
  std::vector<Lost> lost;
  std::vector<CutRun> cut;
  std::vector<Lost> dried;     ///< past its latest end, and nothing is to be put on it: what began the clock is done again
  std::vector<Task> next;      ///< for these hands, in plan order, at most `kNext`; before them what waits half done for somebody who left
  std::vector<Timer> waiting;  ///< as timers()
  int done = 0;                ///< steps x units
  int all = 0;
  bool finished = false;
};

inline constexpr std::size_t kNext = 3;

/// Cost  operations x units x links of a step, stopped at the first few that are not done.
View look(const plan::Plan& plan, const State& state, const Moment& now);

/// The timer of a step that runs by itself. Put off (Kind::heard with seconds) when its time is over, the run is not in hand until
/// then: the parcel is not back, the oil not dry.
bool is_of_run(const Timer& timer);

/// After a break: shown when the builder paused, or nothing was written for kBreakSeconds.
struct Resume {
  double away_s = 0;
  std::string last;                  ///< the last line, in words
  std::vector<Timer> ended;          ///< in order of harm
  std::vector<Timer> clocking;       ///< still running
  std::vector<std::string> look_at;  ///< what to look at first
};
inline constexpr double kBreakSeconds = 30 * 60;  ///< [practice]
std::optional<Resume> resume_card(const plan::Plan& plan, const State& state, const Moment& now);

/// A line of the record as a sentence: "unit 3: step 40 (Glue feet) done".
std::string in_words(const plan::Plan& plan, const Event& line);
/// "unit 3", "units 1, 3 and 4", "units 1 to 4, 7", "whole lot" (for {0}), "all 10 units", "both units".
std::string units_text(const std::vector<int>& units, int lot = 0);

}  // namespace handlot::record
