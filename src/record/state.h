// state.h: what is true now, worked out from the lines of the record and nothing else. Same lines, same
// state.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include "plan/plan.h"
#include "record/clock.h"
#include "record/event.h"
#include "record/said.h"

namespace handlot::record {

/// A check of a step, as ticked or measured.
struct Entry {
  std::optional<double> value;  ///< empty: a tick
  bool within = true;           ///< inside the limits that the plan gave then
  bool early = false;           ///< before what it looks at was there: no hold is passed on it
  Asked asked;                  ///< as it was asked then; of old lines, as it is asked now
  std::string event;
  Moment at;
  bool operator==(const Entry&) const = default;
};

enum class Stand {
  open,
  started,  ///< hands are at it
  running,  ///< hands are free, it runs on by itself
  done,
  again  ///< was done, and rework (here or upstream) undid it, or what a check rested on was struck or measured anew
};
std::string_view word(Stand stand);

/// One step for one unit. Steps of the whole lot stand under unit 0; after rework of a unit such a step may
/// stand under that unit too, for the second pass.
struct Cell {
  Stand stand = Stand::open;
  std::optional<Moment> start;
  std::optional<Moment> leave;
  std::optional<Moment> done;
  std::optional<Moment> last_done;  ///< also where it must be done again since
  std::string done_event;
  std::vector<std::string> because;  ///< the builder's words where it was done against a link or a limit; with the value
  std::string again_because;  ///< why it must be done again
  int passes = 0;             ///< times done
  bool first_time_right = true;
  std::map<std::string, Entry> checks;  ///< by check id; cleared when the step must be done again
  std::vector<Entry> gone;              ///< answers to checks that the step has no more
  std::vector<Entry> before;            ///< values that were measured anew, or of an earlier pass; oldest first
  std::vector<std::string> faults;      ///< why it was done again, in the builder's words
  std::vector<std::string> photos;      ///< names
  std::vector<std::string> notes;
  bool operator==(const Cell&) const = default;
};

struct UnitState {
  bool scrapped = false;
  std::string scrapped_because;
  Moment scrapped_at;
  int reworks = 0;
  std::string plan;  ///< hash of the plan that holds for it
  std::string revision;  ///< of the device, by that plan
  bool operator==(const UnitState&) const = default;
};

struct MaterialLot {
  std::string lot;
  Moment opened;
  double used = 0;
  bool operator==(const MaterialLot&) const = default;
};

struct Heard {
  std::optional<Moment> again_after;  ///< from here, `again_s` later, it sounds again; empty: never
  double again_s = 0;
  bool operator==(const Heard&) const = default;
};

struct Away {
  ResourceId resource;
  Moment from;
  double seconds = 0;
  bool operator==(const Away&) const = default;
};

/// How long a step took: `units` at once, from start to hands free. Breaks and clock gaps inside disqualify
/// it.
struct Sample {
  StepId step;
  int units = 1;
  double seconds = 0;
  std::int64_t seq = 0;
  bool operator==(const Sample&) const = default;
};

struct State {
  int lot = 1;
  std::int64_t seq = 0;          ///< of the last line taken in
  std::vector<UnitState> units;  ///< units[0] is unit 1
  std::map<std::pair<StepId, int>, Cell> cells;
  std::map<std::string, std::vector<MaterialLot>> lots;  ///< by card; the last one is in use
  std::map<StepId, double> agreed_s;                     ///< times the builder agreed to, seconds a unit
  std::map<std::string, Heard> heard;                    ///< by timer id
  std::vector<Away> away;
  std::vector<Gap> gaps;
  std::vector<Sample> samples;
  std::vector<std::string> notes;  ///< that belong to no step
  std::optional<Moment> paused;
  std::optional<Event> last;                          ///< last line that a person wrote and nobody struck
  std::string plan;                                   ///< hash of the plan in force
  std::map<std::string, std::string> struck;          ///< id of a struck line -> id of its correction
  std::unordered_map<std::string, std::int64_t> ids;  ///< every line there is

  bool in_lot(int unit) const {
    return unit >= 1 && unit <= lot && !units[static_cast<std::size_t>(unit - 1)].scrapped;
  }
  std::vector<int> good_units() const;
  bool operator==(const State&) const = default;
};

/// Keeps a state in step with a growing record. A correction, and what stands in for a struck line, make it start over.
class Ledgerbook {
 public:
  explicit Ledgerbook(const plan::Plan& plan);
  ~Ledgerbook();
  Ledgerbook(Ledgerbook&&) noexcept;
  Ledgerbook& operator=(Ledgerbook&&) noexcept;

  /// All lines at once, in place of those there are.
  void load(std::vector<Event> lines);
  /// Given  line.seq is the number after the last one.
  void add(const Event& line);
  /// Forgets the lines after `seq` (they could not be written).
  void cut_to(std::int64_t seq);
  /// Another plan over the same lines.
  void set_plan(const plan::Plan& plan);

  const State& state() const;
  const std::vector<Event>& lines() const;

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

/// The state after all lines.
State derive(const plan::Plan& plan, std::span<const Event> lines);

/// The cell that counts for a unit: its own, or that of the whole lot. Null: nothing has happened yet.
const Cell* cell_of(const State& state, const plan::Step& step, int unit);
/// Under which unit an event of this step for this unit belongs: 0 for steps of the whole lot unless the unit
/// has a second pass of its own open.
int home_unit(const State& state, const plan::Step& step, int unit);
bool is_done(const State& state, const plan::Step& step, int unit);

/// The board has been in the oven since `printed`: its paste is melted, and the clocks of paste that began then are over,
/// whatever is done again later.
bool is_melted(const plan::Plan& plan, const State& state, const StepId& print, int unit, const Moment& printed);

const plan::Step* find_step(const plan::Plan& plan, const StepId& id);
const plan::Check* find_check(const plan::Step& step, const std::string& id);

/// Steps that must be done again when `step` was: everything that the plan's links lead to from it, but for
/// links that carry no work: clocks, what may not stand side by side, a cure that other parts waited for, and the order
/// of the file where it does not put a test or a look behind work on the same part, or a cleaning behind what leaves flux
/// or dust, be it with other work between. In plan order, without `step`.
/// Cost  steps x links.
std::vector<StepId> downstream(const plan::Plan& plan, const StepId& step);
/// Steps that cannot be begun before `step`: those downstream, and those that only the listing or a cure puts behind it.
std::vector<StepId> behind(const plan::Plan& plan, const StepId& step);

}  // namespace handlot::record
