// model.h: the work as a question to the learning engine.
#pragma once

#include <algorithm>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "engine/solver.h"
#include "schedule/reach.h"
#include "schedule/solution.h"
#include "schedule/tasks.h"

namespace handlot::schedule {

/// A time as the engine holds it: cut off where it is too far.
inline std::int32_t whole(Time t) {
  return static_cast<std::int32_t>(std::clamp<Time>(t, -engine::kFar, engine::kFar));
}

/// What is asked.
struct Question {
  std::vector<std::vector<int>> sizes;  ///< sub-batch sizes to choose from, one list a step
  Time latest_finish = 0;               ///< nothing ends later
  const Solution* near = nullptr;       ///< a schedule to start from; its sizes stand among `sizes`
  std::vector<bool>
      moves;  ///< one a task of `near`: may it move? empty: all may. Given  sizes are those of near
  bool guarded = false;  ///< every rule can be taken away, to find out which ones clash
};

/// A rule that can be assumed or not.
struct Guard {
  engine::Literal holds;
  plan::Reason reason;
};

/// Variables and rules for one question.
///
/// A *slot* is an operation that there may be: a run of units of known size, or, where the size is to be
/// chosen, one a unit, of which some are not present (their unit then belongs to the slot before).
///
///     size 1   [u1] [u2] [u3]        slots 1 2 3 present
///     size 2   [u1   u2] [u3]        slots 1 3 present, start of slot 2 = start of slot 1
///
/// Every rule of check.h is posted; `exact` is false where one had to be asked more strictly than check.h
/// does, so that "infeasible" proves nothing. That is the case only for steps that take no time at all, or
/// none but a change-over, and hold a station.
class Model {
 public:
  Model(const plan::Work& work, Question question, std::uint64_t seed);
  ~Model();

  engine::Solver& solver() { return *solver_; }
  engine::Var finish() const { return finish_; }
  engine::Var setups() const { return setups_; }  ///< at least the number of set-ups and change-overs
  bool exact() const { return exact_; }
  const std::vector<Guard>& guards() const { return guards_; }

  /// Given    a solved answer of this solver.
  Solution read(const engine::Answer& answer) const;

 private:
  struct Moment {
    engine::Var var;
    Time plus = 0;
  };
  struct Option {
    engine::Literal when;
    Time hands = 0;
    Time alone = 0;
    int last = 1;  ///< last unit of the run
  };
  struct Slot {
    int step = 0;
    int first = 1;
    engine::Var start;
    engine::Var hands_end;
    Moment end;
    engine::Literal present = engine::kAlways;
    engine::Literal busy = engine::kAlways;  ///< hands are needed
    std::vector<Option> options;
    std::vector<std::pair<int, engine::Literal>> people;  ///< resource, does it
    std::vector<std::pair<int, engine::Literal>> pays;    ///< resource, change-over on it
    Time least = 0;                                       ///< hands + alone at least
    bool may_last = false;                                ///< hands + alone can be more than nothing
    bool moves = true;
  };
  /// A resource held by a slot or by one unit of it.
  struct Hold {
    int slot = 0;
    int count = 1;
    Moment release;
    Time least = 0;  ///< release - start at least
    engine::Literal present = engine::kAlways;
    bool fixed = true;  ///< release - start is always `least`
  };

  const plan::Timing& timing(int step) const;
  int steps() const;
  Slot& slot(int number) { return slots_[static_cast<std::size_t>(number)]; }
  const Slot& slot(int number) const { return slots_[static_cast<std::size_t>(number)]; }
  int slot_with(int step, int unit) const;
  const std::vector<int>& slots_of(int step) const { return by_step_[static_cast<std::size_t>(step)]; }
  Moment event(int slot, plan::Edge edge) const;

  // Small words to post rules with. All stand under the guard that is up.
  void guard(const plan::Reason& reason);
  void guard_down() { guard_ = engine::kAlways; }
  engine::Literal guarded(engine::Literal when);
  void after(Moment a, Moment b, Time gap, engine::Literal when = engine::kAlways);
  void clause(std::vector<engine::Literal> literals);
  engine::Literal literal_after(Moment a, Moment b, Time gap);
  bool surely_after(Moment a, Moment b, Time gap) const;
  void one_after_other(Moment a_start, Moment a_end, Moment b_start, Moment b_end, Time gap_ab, Time gap_ba,
                       std::vector<engine::Literal> unless);

  // Slots (model.cpp)
  void add_step(int step);
  void add_fixed_slots(int step, int size);
  void add_choice_slots(int step, const std::vector<int>& sizes);
  void add_people(Slot& slot);
  void split_by_change(Slot& slot);
  void add_times(int number);
  void add_hands_end(const Slot& slot, const Option& option);
  void add_finish();
  void add_setups();
  engine::Var time_variable(Time low, Time high);

  // Rules (model_rules.cpp)
  void add_order_of_units();
  void add_looks();
  void add_beginnings();
  void add_beginning(int slot, const Option& option);
  void attend(engine::Var moment, engine::Literal when);
  void add_links();
  std::vector<std::pair<Time, engine::Literal>> own_offsets(int step, int unit, plan::Edge edge) const;
  void add_own_latest(const plan::Constraint& link, int from, int left, int to, int taken);
  void add_apart();
  void add_hands();
  void keep_hands_apart(int a, int b);
  void add_absences();

  // Stations (model_stations.cpp)
  void add_station(int resource);
  std::vector<Hold> holds_of(int resource);
  void add_holds(int slot, const plan::Use& use, bool each, std::vector<Hold>& out);
  Moment release_of(int slot, const plan::Use& use, int first_unit, int last_unit, bool& fixed);
  void add_capacity(int resource, const std::vector<Hold>& holds);
  void add_together(const std::vector<Hold>& holds);
  void add_warmth(const Station& station, const std::vector<Hold>& holds);
  void add_families(int resource, const std::vector<Hold>& holds);
  engine::Literal starts_before(int a, int b);
  void decide_change_overs(int resource, const std::vector<int>& users);

  const plan::Work& work_;
  Question question_;
  ShopHours hours_;
  ShopHours attended_;  ///< with the moments of closing
  std::vector<ShopHours> presence_;  ///< of each resource, where they are not those of the shop
  Reach reach_;
  std::vector<Station> stations_;
  std::vector<int> families_;  ///< of each step, 0 = none
  std::unique_ptr<engine::Solver> solver_;
  std::vector<Slot> slots_;
  std::vector<std::vector<int>> by_step_;
  std::vector<std::vector<int>> by_unit_;  ///< [step][unit - 1]: the slot whose start is the unit's
  std::vector<std::vector<std::pair<int, engine::Literal>>> chosen_;  ///< [step]: size, chosen
  std::vector<std::vector<std::pair<int, engine::Literal>>> before_;  ///< [slot]: order literals already made
  std::vector<Guard> guards_;
  engine::Literal guard_ = engine::kAlways;
  engine::Var zero_, finish_, setups_;
  bool exact_ = true;
};

}  // namespace handlot::schedule
