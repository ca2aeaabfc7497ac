#include "schedule/model.h"

#include <algorithm>
#include <cassert>
#include <map>

#include "schedule/step_load.h"
#include "schedule/working_time.h"

namespace handlot::schedule {

using engine::kAlways;
using engine::Literal;
using engine::Var;
using plan::Edge;

namespace {

std::size_t at(int i) {
  return static_cast<std::size_t>(i);
}

/// Closing time counts as a second in which something can be begun still.
ShopHours with_closing_time(const plan::Work& work) {
  std::vector<plan::Interval> hours = work.hours;
  for (plan::Interval& open : hours) open.close = open.close + Duration(1);
  return ShopHours(hours, work.start);
}

}  // namespace

Model::Model(const plan::Work& work, Question question, std::uint64_t seed)
    : work_(work),
      question_(std::move(question)),
      hours_(work.hours, work.start),
      attended_(with_closing_time(work)),
      presence_(presence_of(work)),
      reach_(work),
      solver_(std::make_unique<engine::Solver>(seed)),
      by_step_(work.steps.size()),
      by_unit_(work.steps.size()),
      chosen_(work.steps.size()) {
  std::map<std::string, int> names;
  for (const plan::Step& step : work.steps) {
    const std::string& name = step.timing.material_family;
    families_.push_back(
        name.empty() ? 0 : names.try_emplace(name, static_cast<int>(names.size()) + 1).first->second);
  }
  stations_ = stations_of(work);
  zero_ = solver_->integer(0, 0);
  for (int s = 0; s < steps(); ++s) add_step(s);
  for (std::size_t n = 0; n < slots_.size(); ++n) add_times(static_cast<int>(n));
  before_.resize(slots_.size());
  add_finish();
  add_order_of_units();
  add_looks();
  add_links();
  add_beginnings();
  // So that pairs that cannot meet are not kept apart. A clash here is the answer: nobody else hears of it.
  if (!solver_->state().propagate()) solver_->clause({});
  add_apart();
  add_hands();
  add_absences();
  for (std::size_t r = 0; r < stations_.size(); ++r) {
    if (!stations_[r].person) add_station(static_cast<int>(r));
  }
  add_setups();
}

Model::~Model() = default;

int Model::steps() const {
  return static_cast<int>(work_.steps.size());
}
const plan::Timing& Model::timing(int step) const {
  return work_.steps[at(step)].timing;
}
int Model::slot_with(int step, int unit) const {
  return by_unit_[at(step)][at(unit - 1)];
}

Model::Moment Model::event(int number, Edge edge) const {
  return edge == Edge::start ? Moment{slot(number).start, 0} : slot(number).end;
}

void Model::guard(const plan::Reason& reason) {
  if (!question_.guarded) return;
  guard_ = solver_->boolean();
  guards_.push_back({guard_, reason});
}

Literal Model::guarded(Literal when) {
  return guard_ == kAlways ? when : solver_->all_of({guard_, when});
}

void Model::after(Moment a, Moment b, Time gap, Literal when) {
  solver_->lag(a.var, b.var, whole(gap + a.plus - b.plus), guarded(when));
}

void Model::clause(std::vector<Literal> literals) {
  if (guard_ != kAlways) literals.push_back(~guard_);
  solver_->clause(std::move(literals));
}

Literal Model::literal_after(Moment a, Moment b, Time gap) {
  const Literal b_follows = solver_->boolean();
  solver_->lag(a.var, b.var, whole(gap + a.plus - b.plus), b_follows);
  return b_follows;
}

bool Model::surely_after(Moment a, Moment b, Time gap) const {
  return solver_->low(b.var) + b.plus >= solver_->high(a.var) + a.plus + gap;
}

/// b starts `gap_ab` after a ends, or a starts `gap_ba` after b ends, unless one of `unless` fails.
void Model::one_after_other(Moment a_start, Moment a_end, Moment b_start, Moment b_end, Time gap_ab,
                            Time gap_ba, std::vector<Literal> unless) {
  if (surely_after(a_end, b_start, gap_ab) || surely_after(b_end, a_start, gap_ba)) return;
  std::erase(unless, kAlways);
  const Literal a_first = literal_after(a_end, b_start, gap_ab);
  if (unless.empty() && guard_ == kAlways) {
    solver_->lag(b_end.var, a_start.var, whole(gap_ba + b_end.plus - a_start.plus), ~a_first);
    return;
  }
  std::vector<Literal> literals{a_first, literal_after(b_end, a_start, gap_ba)};
  for (const Literal l : unless) literals.push_back(~l);
  clause(std::move(literals));
}

Var Model::time_variable(Time low, Time high) {
  return solver_->integer(whole(low), whole(std::max(low, high)));
}

// Slots
// ---------------------------------------------------------------------------------------------------------------

void Model::add_step(int step) {
  by_unit_[at(step)].assign(at(work_.units), 0);
  const std::vector<int>& sizes = question_.sizes[at(step)];
  if (sizes.size() == 1) {
    add_fixed_slots(step, sizes.front());
  } else {
    add_choice_slots(step, sizes);
  }
}

void Model::add_fixed_slots(int step, int size) {
  chosen_[at(step)] = {{size, kAlways}};
  int task =
      question_.near != nullptr && !question_.moves.empty() ? question_.near->set.first_task[at(step)] : -1;
  for (const Run& run : runs_of(timing(step), work_.units, size)) {
    Slot made;
    made.step = step;
    made.first = run.first;
    made.options = {{kAlways, hands_of(timing(step), run), alone_of(timing(step), run), run.last}};
    if (task >= 0) made.moves = question_.moves[at(task++)];
    for (int unit = run.first; unit <= run.last; ++unit)
      by_unit_[at(step)][at(unit - 1)] = static_cast<int>(slots_.size());
    by_step_[at(step)].push_back(static_cast<int>(slots_.size()));
    slots_.push_back(std::move(made));
  }
}

void Model::add_choice_slots(int step, const std::vector<int>& sizes) {
  // The size of the schedule to start from is made last: the search sets what it has no opinion on to "not
  // this one".
  std::vector<int> order = sizes;
  if (question_.near != nullptr) {
    std::stable_partition(order.begin(), order.end(),
                          [&](int size) { return size != question_.near->sizes[at(step)]; });
  }
  std::vector<Literal> any;
  for (const int size : order) {
    const Literal chosen = solver_->boolean(engine::Turn::first);
    for (const Literal other : any) solver_->clause({~chosen, ~other});
    any.push_back(chosen);
    chosen_[at(step)].push_back({size, chosen});
  }
  solver_->clause(any);
  for (int unit = 1; unit <= work_.units; ++unit) {
    Slot made;
    made.step = step;
    made.first = unit;
    std::vector<Literal> never;
    for (const auto& [size, chosen] : chosen_[at(step)]) {
      const auto runs = runs_of(timing(step), work_.units, size);
      const auto run = std::find_if(runs.begin(), runs.end(), [&](const Run& r) { return r.first == unit; });
      if (run == runs.end()) {
        never.push_back(chosen);
      } else {
        made.options.push_back(
            {chosen, hands_of(timing(step), *run), alone_of(timing(step), *run), run->last});
      }
    }
    if (!never.empty()) {
      made.present = solver_->boolean();
      for (const Literal chosen : never) solver_->clause({~made.present, ~chosen});
      for (const Option& option : made.options) solver_->clause({made.present, ~option.when});
    }
    by_unit_[at(step)][at(unit - 1)] = static_cast<int>(slots_.size());
    by_step_[at(step)].push_back(static_cast<int>(slots_.size()));
    slots_.push_back(std::move(made));
  }
}

/// Every option once without and once with each change-over that the slot may have to make.
void Model::split_by_change(Slot& s) {
  if (families_[at(s.step)] == 0) return;
  for (const plan::Use& use : timing(s.step).uses) {
    int resource = 0;
    while (work_.resources[at(resource)].id != use.resource) ++resource;
    const bool known =
        std::any_of(s.pays.begin(), s.pays.end(), [&](auto& p) { return p.first == resource; });
    if (stations_[at(resource)].change_over == 0 || known) continue;
    const Literal pays = solver_->boolean();
    s.pays.push_back({resource, pays});
    std::vector<Option> split;
    for (const Option& option : s.options) {
      split.push_back(option);
      split.back().when = solver_->all_of({option.when, ~pays});
      split.push_back(option);
      split.back().when = solver_->all_of({option.when, pays});
      split.back().hands += stations_[at(resource)].change_over;
    }
    s.options = std::move(split);
  }
}

void Model::add_people(Slot& s) {
  std::vector<Literal> with;
  for (const Option& option : s.options) {
    if (option.hands > 0) with.push_back(option.when);
  }
  if (with.size() == s.options.size()) {
    s.busy = s.present;
  } else if (with.empty()) {
    s.busy = engine::kNever;
    return;
  } else {
    s.busy = solver_->boolean();
    for (const Option& option : s.options) {
      solver_->clause({~option.when, option.hands > 0 ? s.busy : ~s.busy});
    }
    if (s.present != kAlways) solver_->clause({s.present, ~s.busy});
  }
  const plan::Timing& t = timing(s.step);
  for (std::size_t r = 0; r < stations_.size(); ++r) {
    const bool named = t.people.empty() ||
                       std::find(t.people.begin(), t.people.end(), work_.resources[r].id) != t.people.end();
    if (stations_[r].person && named) s.people.push_back({static_cast<int>(r), s.busy});
  }
  if (s.people.size() < 2) return;
  std::vector<Literal> somebody{~s.busy};
  for (auto& [person, does] : s.people) {
    does = solver_->boolean();
    for (std::size_t i = 1; i < somebody.size(); ++i) solver_->clause({~does, ~somebody[i]});
    somebody.push_back(does);
  }
  solver_->clause(somebody);
}

void Model::add_times(int number) {
  Slot& s = slot(number);
  split_by_change(s);
  add_people(s);
  const bool pause = timing(s.step).may_pause;
  Time hands = kNever, alone = kNever, most_alone = 0, most_hands = 0;
  s.least = kNever;
  // Where the size is open a slot can be part of any run of the step: what holds always must hold for all of
  // them.
  for (const int other : slots_of(s.step)) {
    if (other != number && chosen_[at(s.step)].size() == 1) continue;
    for (const Option& option : slot(other).options) {
      hands = std::min(hands, option.hands);
      alone = std::min(alone, option.alone);
      most_alone = std::max(most_alone, option.alone);
      most_hands = std::max(most_hands, option.hands);
      s.least = std::min(s.least, option.hands + option.alone);
    }
  }
  s.may_last = most_hands + most_alone > 0;
  Time low = 0, high = timing(s.step).at_start ? 0 : question_.latest_finish;
  if (!s.moves) {
    const int task =
        question_.near->set.first_task[at(s.step)] +
        static_cast<int>(std::find(by_step_[at(s.step)].begin(), by_step_[at(s.step)].end(), number) -
                         by_step_[at(s.step)].begin());
    low = high = question_.near->placement.start[at(task)];
  }
  s.start = time_variable(low, high);
  s.hands_end =
      most_hands == 0 && s.options.size() == 1 ? s.start : time_variable(0, question_.latest_finish);
  s.end = {s.hands_end, alone};
  if (alone != most_alone) {
    s.end = {time_variable(0, question_.latest_finish), 0};
    after({s.hands_end, 0}, s.end, alone);
  }
  if (s.options.size() > 1)
    WorkingTime::post(solver_->state(), hours_, {s.start, s.hands_end, hands, pause, kAlways, false});
  for (const Option& option : s.options) {
    if (s.hands_end != s.start) add_hands_end(s, option);
    if (alone == most_alone) continue;
    after({s.hands_end, 0}, s.end, option.alone, option.when);
    after(s.end, {s.hands_end, 0}, -option.alone, option.when);
  }
  if (s.present == kAlways) return;
  const Slot& before = slot(number - 1);  // same step: the first unit's slot is always present
  const std::pair<Moment, Moment> same[] = {
      {{before.start, 0}, {s.start, 0}}, {{before.hands_end, 0}, {s.hands_end, 0}}, {before.end, s.end}};
  for (const auto& [a, b] : same) {
    after(a, b, 0, ~s.present);
    after(b, a, 0, ~s.present);
  }
}

/// Who may pause does so over absences of their own too.
void Model::add_hands_end(const Slot& s, const Option& option) {
  const bool pause = timing(s.step).may_pause;
  const bool own = pause && option.hands > 0 && std::any_of(s.people.begin(), s.people.end(), [&](const auto& p) { return !stations_[at(p.first)].away.empty(); });
  WorkingTime::post(solver_->state(), hours_, {s.start, s.hands_end, option.hands, pause, option.when, !own});
  for (const auto& [person, does] : s.people) {
    const ShopHours& hours = stations_[at(person)].away.empty() ? hours_ : presence_[at(person)];
    if (own) WorkingTime::post(solver_->state(), hours, {s.start, s.hands_end, option.hands, true, solver_->all_of({option.when, does}), true});
  }
}

void Model::add_finish() {
  finish_ = solver_->integer(0, whole(question_.latest_finish), engine::Turn::last);
  for (const Slot& s : slots_) after(s.end, {finish_, 0}, 0);
}

/// A running sum over the steps: each adds as many as its size has runs, each change-over adds one.
void Model::add_setups() {
  Var sum = zero_;
  Time most = 0;
  const auto add = [&](Time count, Literal when, Var next) { solver_->lag(sum, next, whole(count), when); };
  for (int s = 0; s < steps(); ++s) {
    if (timing(s).setup.seconds == 0) continue;
    most += work_.units;
    const Var next = solver_->integer(0, whole(most), engine::Turn::last);
    for (const auto& [size, chosen] : chosen_[at(s)]) {
      add(static_cast<Time>(runs_of(timing(s), work_.units, size).size()), chosen, next);
    }
    sum = next;
  }
  for (const Slot& s : slots_) {
    if (s.pays.empty()) continue;
    const Var next = solver_->integer(0, whole(++most), engine::Turn::last);
    add(0, kAlways, next);
    // Several stations changed over for one operation are one set-up.
    for (const auto& [resource, pays] : s.pays)
      add(1, s.present == kAlways ? pays : solver_->all_of({pays, s.present}), next);
    sum = next;
  }
  setups_ = sum;
}

Solution Model::read(const engine::Answer& answer) const {
  std::vector<int> sizes;
  for (const auto& choice : chosen_) {
    for (const auto& [size, chosen] : choice) {
      if (answer.value(chosen)) sizes.push_back(size);
    }
  }
  Solution out{sizes, cut(reach_.numbers(), sizes), {}, {}};
  for (const Slot& s : slots_) {
    if (!answer.value(s.present)) continue;
    Time change = 0;
    for (const auto& [resource, pays] : s.pays)
      change += answer.value(pays) ? stations_[at(resource)].change_over : 0;
    int person = -1;
    for (const auto& [resource, does] : s.people) {
      if (answer.value(does)) person = resource;
    }
    out.placement.start.push_back(answer.value(s.start));
    out.placement.change.push_back(change);
    out.placement.person.push_back(person);
  }
  out.score = score_of(out.set, out.placement);
  return out;
}

}  // namespace handlot::schedule
