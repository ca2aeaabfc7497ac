// The half of Model about stations and fixtures: capacity, shared runs, warmth, material families.
#include <algorithm>
#include <map>
#include <set>

#include "engine/timetable.h"
#include "schedule/model.h"
#include "schedule/occupancy.h"

namespace handlot::schedule {

using engine::kAlways;
using engine::Literal;

namespace {

std::size_t at(int i) {
  return static_cast<std::size_t>(i);
}

plan::Reason told(const char* rule, std::string text) {
  plan::Reason reason;
  reason.rule = RuleId(rule);
  reason.text = std::move(text);
  return reason;
}

}  // namespace

void Model::add_station(int resource) {
  const std::vector<Hold> holds = holds_of(resource);
  const Station& station = stations_[at(resource)];
  const std::string& name = work_.resources[at(resource)].id.text;
  guard(told("schedule-resources", (station.capacity == 1 ? "there is " : "there are ") + std::to_string(station.capacity) + " of '" + name + "'"));
  add_capacity(resource, holds);
  if (station.together) add_together(holds);
  guard_down();
  guard(told("schedule-warmth", "'" + name + "' is to be warm"));
  add_warmth(station, holds);
  guard_down();
  guard(told("schedule-families", "'" + name + "' is cleaned between materials"));
  if (station.change_over > 0) add_families(resource, holds);
  guard_down();
}

/// When the share of `units` is given back. `fixed` is made false if that is not always as long after the
/// start.
Model::Moment Model::release_of(int number, const plan::Use& use, int first_unit, int last_unit,
                                bool& fixed) {
  const Slot& s = slot(number);
  const Moment end{s.end.var, s.end.plus + use.hold_after_end.seconds};
  if (s.options.size() > 1 || chosen_[at(s.step)].size() > 1 || timing(s.step).may_pause) fixed = false;
  if (!use.until_start_of) return end;
  fixed = false;
  const Moment release{time_variable(0, engine::kFar / 2), 0};
  const int until = reach_.number(*use.until_start_of);
  std::set<int> later;
  for (int unit = first_unit; unit <= last_unit; ++unit) later.insert(slot_with(until, unit));
  later.erase(number);
  const engine::Literal up = guard_;
  guard_ = kAlways;  // what a release is stands outside the rule that uses it
  after(end, release, 0);
  std::vector<Literal> one{literal_after(release, end, 0)};
  for (const int other : later) {
    after({slot(other).start, 0}, release, 0);
    one.push_back(literal_after(release, {slot(other).start, 0}, 0));
  }
  solver_->clause(one);  // the latest of them, no later
  guard_ = up;
  return release;
}

void Model::add_holds(int number, const plan::Use& use, bool each, std::vector<Hold>& out) {
  const Slot& s = slot(number);
  const Time least = s.least + use.hold_after_end.seconds;
  if (use.count == 0 || (least == 0 && !s.may_last && !use.until_start_of)) return;
  if (least == 0) exact_ = false;  // it is kept out of the others' way also where it lasts no time
  const auto add = [&](int count, int first, int last, Literal present) {
    Hold hold{number, count, {}, least, present, true};
    hold.release = release_of(number, use, first, last, hold.fixed);
    out.push_back(hold);
  };
  const bool known = chosen_[at(s.step)].size() == 1;
  if (known && !each) return add(use.count, s.first, s.options[0].last, s.present);
  if (known && !use.until_start_of) {
    return add(use.count * (s.options[0].last - s.first + 1), s.first, s.options[0].last, s.present);
  }
  if (known) {
    for (int unit = s.first; unit <= s.options[0].last; ++unit) add(use.count, unit, unit, s.present);
    return;
  }
  // The size is open. Each unit's share by itself (its start and end are the run's); one share for the run
  // otherwise.
  if (each) return add(use.count, s.first, s.first, kAlways);
  if (!use.until_start_of) return add(use.count, s.first, s.first, s.present);
  std::map<int, std::vector<Literal>> by_last;
  for (const Option& option : s.options) by_last[option.last].push_back(option.when);
  for (const auto& [last, whens] : by_last) {
    const Literal this_run = solver_->boolean();
    for (const Option& option : s.options)
      solver_->clause({~option.when, option.last == last ? this_run : ~this_run});
    if (s.present != kAlways) solver_->clause({s.present, ~this_run});
    add(use.count, s.first, last, this_run);
  }
}

std::vector<Model::Hold> Model::holds_of(int resource) {
  std::vector<Hold> holds;
  for (std::size_t n = 0; n < slots_.size(); ++n) {
    for (const plan::Use& use : timing(slots_[n].step).uses) {
      if (use.resource != work_.resources[at(resource)].id) continue;
      add_holds(static_cast<int>(n), use, use.per_unit || stations_[at(resource)].together, holds);
    }
  }
  return holds;
}

void Model::add_capacity(int resource, const std::vector<Hold>& holds) {
  const int capacity = stations_[at(resource)].capacity;
  std::vector<engine::Task> tasks;
  std::vector<Holding> holdings;
  bool fixed = true;
  for (const Hold& hold : holds) {
    const Literal present = guarded(hold.present);
    tasks.push_back({slot(hold.slot).start, whole(hold.least), hold.count, present, {}});
    holdings.push_back({slot(hold.slot).start, hold.release.var, hold.release.plus, hold.count, present});
    fixed = fixed && hold.fixed;
  }
  for (std::size_t i = 0; i < holds.size(); ++i) {
    for (std::size_t j = i + 1; j < holds.size(); ++j) {
      const Hold& a = holds[i];
      const Hold& b = holds[j];
      if (a.slot == b.slot || a.count + b.count <= capacity || (!slot(a.slot).moves && !slot(b.slot).moves))
        continue;
      // Two units of one run share their times; where the run is not known yet, the places are counted below.
      if (slot(a.slot).step == slot(b.slot).step && slot(b.slot).present != kAlways && a.present == kAlways)
        continue;
      one_after_other({slot(a.slot).start, 0}, a.release, {slot(b.slot).start, 0}, b.release, 0, 0,
                      {a.present, b.present});
    }
  }
  if (!tasks.empty()) engine::require_capacity(*solver_, tasks, capacity);
  if (!fixed) Occupancy::post(solver_->state(), holdings, capacity);
}

void Model::add_together(const std::vector<Hold>& holds) {
  for (std::size_t i = 0; i < holds.size(); ++i) {
    for (std::size_t j = i + 1; j < holds.size(); ++j) {
      const Hold& a = holds[i];
      const Hold& b = holds[j];
      const Moment a_start{slot(a.slot).start, 0}, b_start{slot(b.slot).start, 0};
      if (a.slot == b.slot || surely_after(a.release, b_start, 0) || surely_after(b.release, a_start, 0))
        continue;
      const Literal with = solver_->boolean();
      solver_->lag(a_start.var, b_start.var, 0, with);
      solver_->lag(b_start.var, a_start.var, 0, with);
      std::vector<Literal> ways{with, literal_after(a.release, b_start, 0),
                                literal_after(b.release, a_start, 0)};
      for (const Literal present : {a.present, b.present}) {
        if (present != kAlways) ways.push_back(~present);
      }
      clause(std::move(ways));
    }
  }
}

/// Each use either begins soon enough after another that began before it, or is switched on for, after all of them and while
/// somebody is there.
void Model::add_warmth(const Station& station, const std::vector<Hold>& holds) {
  if (station.warm_up == 0) return;
  const Time warm_until = station.used_until + station.stays_warm;
  for (const Hold& b : holds) {
    const Moment start{slot(b.slot).start, 0};
    if (warm_until < 0) after({zero_, 0}, start, station.warm_up, b.present);
    const Literal cold = solver_->boolean();
    std::vector<Literal> ways{cold};
    const Moment on{time_variable(std::max<Time>(0, station.used_until), question_.latest_finish), 0};
    attend(on.var, cold);
    after(on, start, station.warm_up, cold);
    after(start, on, -station.warm_up - station.stays_warm, cold);
    if (warm_until >= 0) ways.push_back(engine::at_most(start.var, whole(warm_until)));
    if (b.present != kAlways) ways.push_back(~b.present);
    for (const Hold& a : holds) {
      if (a.slot == b.slot) continue;
      const Moment other{slot(a.slot).start, 0};
      std::vector<Literal> spaced{~cold, literal_after(a.release, on, 0), literal_after(start, other, 0)};
      if (a.present != kAlways) spaced.push_back(~a.present);
      clause(std::move(spaced));
      const Literal near = solver_->boolean();
      solver_->lag(other.var, start.var, 1, near);
      solver_->lag(start.var, a.release.var, whole(-station.stays_warm - a.release.plus), near);
      if (a.present != kAlways) solver_->clause({~near, a.present});
      ways.push_back(near);
    }
    clause(std::move(ways));
  }
}

/// "a starts before b" in the order of check.h: by start, then by step and unit.
Literal Model::starts_before(int a, int b) {
  if (a > b) return ~starts_before(b, a);
  for (const auto& [other, literal] : before_[at(a)]) {
    if (other == b) return literal;
  }
  const Literal first = solver_->boolean();
  solver_->lag(slot(a).start, slot(b).start, 0, first);
  solver_->lag(slot(b).start, slot(a).start, 1, ~first);
  before_[at(a)].push_back({b, first});
  return first;
}

void Model::add_families(int resource, const std::vector<Hold>& holds) {
  for (std::size_t i = 0; i < holds.size(); ++i) {
    for (std::size_t j = i + 1; j < holds.size(); ++j) {
      const Hold& a = holds[i];
      const Hold& b = holds[j];
      const int fa = families_[at(slot(a.slot).step)], fb = families_[at(slot(b.slot).step)];
      if (fa == 0 || fb == 0 || fa == fb) continue;
      one_after_other({slot(a.slot).start, 0}, a.release, {slot(b.slot).start, 0}, b.release, 0, 0,
                      {a.present, b.present});
    }
  }
  std::vector<int> users;
  for (std::size_t n = 0; n < slots_.size(); ++n) {
    const bool pays = std::any_of(slots_[n].pays.begin(), slots_[n].pays.end(),
                                  [&](auto& p) { return p.first == resource; });
    if (pays) users.push_back(static_cast<int>(n));
  }
  decide_change_overs(resource, users);
}

/// A user pays for a change-over exactly if some user of another family starts before it with none of its own
/// family between the two.
void Model::decide_change_overs(int resource, const std::vector<int>& users) {
  const engine::Literal up = guard_;
  guard_ = kAlways;  // an operation's length is what it is, whatever rule is taken away
  for (const int user : users) {
    const int family = families_[at(slot(user).step)];
    Literal pays = kAlways;
    for (const auto& [where, literal] : slot(user).pays) {
      if (where == resource) pays = literal;
    }
    std::vector<Literal> causes{~pays};
    for (const int other : users) {
      if (families_[at(slot(other).step)] == family) continue;
      std::vector<Literal> due{pays, ~starts_before(other, user), ~slot(other).present};
      const Literal cause = solver_->boolean();
      solver_->clause({~cause, starts_before(other, user)});
      solver_->clause({~cause, slot(other).present});
      for (const int own : users) {
        if (own == user || families_[at(slot(own).step)] != family) continue;
        const Literal between =
            solver_->all_of({starts_before(other, own), starts_before(own, user), slot(own).present});
        due.push_back(between);
        solver_->clause({~cause, ~starts_before(other, own), ~starts_before(own, user), ~slot(own).present});
        // `between` may be true only where it is so.
        for (const Literal part : {starts_before(other, own), starts_before(own, user), slot(own).present}) {
          solver_->clause({~between, part});
        }
      }
      solver_->clause(std::move(due));
      causes.push_back(cause);
    }
    solver_->clause(std::move(causes));
  }
  guard_ = up;
}

}  // namespace handlot::schedule
