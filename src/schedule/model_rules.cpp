// The half of Model about order: links, steps kept apart, hands.
#include <algorithm>
#include <set>

#include "schedule/clash.h"
#include "schedule/model.h"
#include "schedule/own_time.h"
#include "schedule/step_load.h"
#include "schedule/working_time.h"

namespace handlot::schedule {

using engine::kAlways;
using engine::Literal;
using engine::Var;
using plan::Edge;

namespace {

plan::Reason told(const char* rule, std::string text) {
  plan::Reason reason;
  reason.rule = RuleId(rule);
  reason.text = std::move(text);
  return reason;
}

}  // namespace

void Model::add_order_of_units() {
  for (int s = 0; s < steps(); ++s) {
    const std::vector<int>& slots = slots_of(s);
    for (std::size_t i = 0; i + 1 < slots.size(); ++i) {
      const bool checked = timing(s).first_piece && i == 0;
      after(event(slots[i], checked ? Edge::end : Edge::start), {slot(slots[i + 1]).start, 0}, 0);
    }
  }
}

void Model::add_looks() {
  for (const plan::LookFirst& l : work_.looks) {
    if (work_.units < 2) return;
    guard(l.reason);
    after(event(slot_with(reach_.number(l.look), 1), Edge::end), {slot(slot_with(reach_.number(l.repeat), 2)).start, 0}, 0);
    guard_down();
  }
}

void Model::add_beginnings() {
  if (hours_.spans().empty()) return;
  guard(told("schedule-begun", "what needs no hands is begun while somebody is there"));
  for (std::size_t n = 0; n < slots_.size(); ++n) {
    const Slot& s = slots_[n];
    const Time low = solver_->low(s.start);
    const bool stays_there = !s.moves && hours_.attended_from(low) == low;
    if (timing(s.step).at_start || timing(s.step).by_itself || stays_there) continue;
    for (const Option& option : s.options) {
      if (option.hands == 0 && option.alone > 0) add_beginning(static_cast<int>(n), option);
    }
  }
  guard_down();
}

/// Somebody is there at that moment.
void Model::attend(Var moment, Literal when) {
  if (hours_.spans().empty()) return;
  const Var after_it = time_variable(1, question_.latest_finish + 1);
  WorkingTime::post(solver_->state(), attended_, {moment, after_it, 1, false, when, false});
}

/// In shop hours, or at the end of what it follows on the same station.
void Model::add_beginning(int number, const Option& option) {
  const Slot& s = slot(number);
  std::set<int> before;
  for (const plan::Constraint& c : work_.constraints) {
    const int from = reach_.number(c.from.step);
    if (reach_.number(c.to.step) != s.step || from == s.step || c.from.edge != Edge::end || c.to.edge != Edge::start) continue;
    if (!stays_on_station(work_, timing(from), timing(s.step))) continue;
    const bool lot = c.scope == plan::Scope::lot;
    for (int u = lot ? 1 : s.first; u <= (lot ? work_.units : option.last); ++u) before.insert(slot_with(from, u));
  }
  std::vector<Literal> ways{~option.when, solver_->boolean()};
  attend(s.start, ways[1]);
  for (const int b : before) {
    const Moment end = event(b, Edge::end), start{s.start, 0};
    ways.push_back(literal_after(end, start, 0));
    solver_->lag(start.var, end.var, whole(start.plus - end.plus), ways.back());
  }
  clause(std::move(ways));
}

void Model::add_links() {
  for (const plan::Constraint& c : work_.constraints) {
    const int from = reach_.number(c.from.step), to = reach_.number(c.to.step);
    guard(with_figures(c));
    if (c.scope == plan::Scope::unit) {
      std::set<std::pair<int, int>> pairs;
      for (int u = 1; u <= work_.units; ++u) pairs.insert({slot_with(from, u), slot_with(to, u)});
      for (const auto& [a, b] : pairs) {
        after(event(a, c.from.edge), event(b, c.to.edge), c.min.seconds);
        if (c.max) after(event(b, c.to.edge), event(a, c.from.edge), -c.max->seconds);
      }
      for (int u = 1; c.max && u <= work_.units; ++u) add_own_latest(c, slot_with(from, u), u, slot_with(to, u), u);
      guard_down();
      continue;
    }
    // Starts do not decrease with the unit: the last start, or the first, speaks for all of them.
    const auto ends = [&](int step, Edge edge, bool last) {
      std::vector<int> all = slots_of(step);
      if (edge == Edge::start) all = {last ? all.back() : all.front()};
      return all;
    };
    for (const int a : ends(from, c.from.edge, true)) {
      for (const int b : ends(to, c.to.edge, false))
        after(event(a, c.from.edge), event(b, c.to.edge), c.min.seconds);
    }
    for (const int a : ends(from, c.from.edge, false)) {
      if (!c.max) break;
      for (const int b : ends(to, c.to.edge, true)) {
        after(event(b, c.to.edge), event(a, c.from.edge), -c.max->seconds);
        const bool known = chosen_[static_cast<std::size_t>(to)].size() == 1;
        add_own_latest(c, a, slot(a).first, b, c.to.edge == Edge::start ? work_.units : known ? slot(b).options[0].last : slot(b).first);
      }
    }
    guard_down();
  }
}

/// What a unit's own event lies off its sub-batch's, for each size that the step may have. One for all where they agree.
std::vector<std::pair<Time, Literal>> Model::own_offsets(int step, int unit, Edge edge) const {
  std::vector<std::pair<Time, Literal>> all;
  bool alike = true;
  for (const auto& [size, chosen] : chosen_[static_cast<std::size_t>(step)]) {
    for (const Run& run : runs_of(timing(step), work_.units, size)) {
      if (unit < run.first || unit > run.last) continue;
      all.push_back({own_offset(timing(step), run, unit, edge), chosen});
      alike = alike && all.back().first == all.front().first;
    }
  }
  if (alike) all = {{all.front().first, kAlways}};
  return all;
}

/// The latest end of a link by the own time of two units, whatever sizes are chosen.
void Model::add_own_latest(const plan::Constraint& c, int a, int left, int b, int taken) {
  const auto from = own_offsets(slot(a).step, left, c.from.edge), to = own_offsets(slot(b).step, taken, c.to.edge);
  if (from.size() == 1 && to.size() == 1 && to[0].first <= from[0].first) return;
  Moment own = event(b, c.to.edge);
  if (to.size() == 1) {
    own.plus += to[0].first;
  } else {
    own = {time_variable(0, 2 * question_.latest_finish), 0};
    for (const auto& [offset, chosen] : to) after(event(b, c.to.edge), own, offset, chosen);
  }
  for (const auto& [offset, chosen] : from) after(own, event(a, c.from.edge), -c.max->seconds - offset, chosen);
}

void Model::add_apart() {
  for (const plan::NeverTogether& pair : work_.apart) {
    guard(pair.reason);
    for (const int a : slots_of(reach_.number(pair.a))) {
      for (const int b : slots_of(reach_.number(pair.b))) {
        const bool twice = pair.a == pair.b && b < a && pair.clear_after_a == pair.clear_after_b;
        if (a == b || twice || (!slot(a).moves && !slot(b).moves)) continue;
        one_after_other({slot(a).start, 0}, slot(a).end, {slot(b).start, 0}, slot(b).end,
                        pair.clear_after_a.seconds, pair.clear_after_b.seconds,
                        {slot(a).present, slot(b).present});
      }
    }
    guard_down();
  }
}

void Model::add_hands() {
  guard(told("schedule-people", "nobody does two things at once"));
  for (std::size_t a = 0; a < slots_.size(); ++a) {
    for (std::size_t b = a + 1; b < slots_.size(); ++b)
      keep_hands_apart(static_cast<int>(a), static_cast<int>(b));
  }
  guard_down();
}

/// Who does a piece of work does it before they go, or after they have come.
void Model::add_absences() {
  if (std::all_of(stations_.begin(), stations_.end(), [](const Station& s) { return s.away.empty(); })) return;
  guard(told("schedule-people", "nobody works while they are away"));
  for (const Slot& s : slots_) {
    if (timing(s.step).may_pause) continue;
    for (const auto& [person, does] : s.people) {
      for (const OpenSpan& away : stations_[static_cast<std::size_t>(person)].away) {
        if (!s.moves || solver_->low(s.start) >= away.close || solver_->high(s.hands_end) <= away.open) continue;
        std::vector<Literal> literals{engine::at_least(s.start, whole(away.close)), engine::at_most(s.hands_end, whole(away.open))};
        if (does != kAlways) literals.push_back(~does);
        clause(std::move(literals));
      }
    }
  }
  guard_down();
}

void Model::keep_hands_apart(int a, int b) {
  const Slot& sa = slot(a);
  const Slot& sb = slot(b);
  if ((!sa.moves && !sb.moves) || sa.busy == engine::kNever || sb.busy == engine::kNever) return;
  const bool by_links = guard_ == kAlways;
  if (by_links && reach_.follows(sa.step, sb.step) && sa.first <= sb.first) return;
  if (by_links && reach_.follows(sb.step, sa.step) && sb.first <= sa.first) return;
  if (surely_after({sa.hands_end, 0}, {sb.start, 0}, 0) || surely_after({sb.hands_end, 0}, {sa.start, 0}, 0))
    return;
  std::vector<std::pair<Literal, Literal>> same;
  for (const auto& [person, a_does] : sa.people) {
    for (const auto& [other, b_does] : sb.people) {
      if (person == other) same.push_back({a_does, b_does});
    }
  }
  if (same.empty()) return;
  const bool in_order = sa.step == sb.step && sa.first < sb.first;
  if (same.size() == 1) {
    // Units of one step are in order already: only one way round is left.
    if (in_order)
      return after({sa.hands_end, 0}, {sb.start, 0}, 0, solver_->all_of({same[0].first, same[0].second}));
    return one_after_other({sa.start, 0}, {sa.hands_end, 0}, {sb.start, 0}, {sb.hands_end, 0}, 0, 0,
                           {same[0].first, same[0].second});
  }
  const Literal a_first = literal_after({sa.hands_end, 0}, {sb.start, 0}, 0);
  const Literal b_first = in_order ? engine::kNever : literal_after({sb.hands_end, 0}, {sa.start, 0}, 0);
  for (const auto& [a_does, b_does] : same) clause({~a_does, ~b_does, a_first, b_first});
}

}  // namespace handlot::schedule
