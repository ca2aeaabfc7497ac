#include "schedule/station_book.h"

#include <algorithm>
#include <utility>

namespace handlot::schedule {

namespace {

std::size_t at(int i) {
  return static_cast<std::size_t>(i);
}

bool has(const std::vector<int>& all, int one) {
  return std::find(all.begin(), all.end(), one) != all.end();
}

}  // namespace

StationBook::StationBook(const TaskSet& set)
    : set_(set),
      spots_(set.tasks.size()),
      entered_(set.tasks.size(), false),
      holds_(set.stations.size()),
      released_by_(set.tasks.size()),
      apart_(set.first_task.size()) {
  for (std::size_t t = 0; t < set.tasks.size(); ++t) {
    for (const Need& need : set.tasks[t].needs) {
      for (const int until : need.until) released_by_[at(until)].push_back(static_cast<int>(t));
    }
  }
  for (std::size_t a = 0; a < set.apart.size(); ++a) {
    apart_[at(set.apart[a].step_a)].push_back(static_cast<int>(a));
    if (set.apart[a].step_b != set.apart[a].step_a)
      apart_[at(set.apart[a].step_b)].push_back(static_cast<int>(a));
  }
}

/// When `need` of `task` is given back if the task ends at `end`.
Time StationBook::release(int task, const Need& need, Time end) const {
  Time to = end + need.hold;
  for (const int until : need.until) {
    if (until == task) continue;
    to = std::max(to, entered_[at(until)] ? start(until) : kNever);
  }
  return to;
}

/// The same for a hold in the book, were `asking` to start at `asking_start`.
Time StationBook::release(const Hold& hold, int asking, Time asking_start) const {
  if (hold.need < 0) return hold.to;
  const Need& need = task_of(hold.task).needs[at(hold.need)];
  if (!has(need.until, asking)) return hold.to;
  Time to = std::max(end(hold.task) + need.hold, asking_start);
  for (const int until : need.until) {
    if (until != asking && until != hold.task) to = std::max(to, entered_[at(until)] ? start(until) : kNever);
  }
  return to;
}

/// The last task with a family before `task` on `resource`, were it to start at `start`.
std::optional<int> StationBook::before_on(int resource, int task, Time start) const {
  std::optional<int> last;
  for (const Hold& hold : holds(resource)) {
    if (task_of(hold.task).family == 0 || hold.task == task) continue;
    const std::pair place(spots_[at(hold.task)].start, hold.task);
    if (place > std::pair(start, task)) continue;
    if (!last || place > std::pair(spots_[at(*last)].start, *last)) last = hold.task;
  }
  return last;
}

Time StationBook::change_over(int task, Time start) const {
  const Task& t = task_of(task);
  if (t.family == 0) return 0;
  Time sum = 0;
  std::vector<int> seen;
  for (const Need& need : t.needs) {
    if (station(need.resource).change_over == 0 || has(seen, need.resource)) continue;
    seen.push_back(need.resource);
    const auto before = before_on(need.resource, task, start);
    if (before && task_of(*before).family != t.family) sum += station(need.resource).change_over;
  }
  return sum;
}

/// The first hold that can still be held after `moment`. Given  holds of this resource never overlap.
std::size_t StationBook::first_after(int resource, Time moment) const {
  const auto& all = holds(resource);
  const auto found =
      std::upper_bound(all.begin(), all.end(), moment, [](Time t, const Hold& h) { return t < h.from; });
  auto i = static_cast<std::size_t>(found - all.begin());
  if (i > 0) --i;
  while (i > 0 && all[i].from == all[i].to) --i;  // what is held for no time hides nothing
  return i;
}

/// When a person has that much time in one piece; `pauses`: their absences are none of it.
Time StationBook::free_from(int person, Time from, Time length, bool pauses) const {
  const auto& all = holds(person);
  for (Time free = from;; from = free) {
    for (std::size_t i = first_after(person, free); i < all.size() && all[i].from < free + length; ++i) {
      free = std::max(free, all[i].to);
    }
    for (const OpenSpan& away : station(person).away) {
      if (!pauses && away.open < free + length && free < away.close) free = away.close;
    }
    if (free == from) return free;
  }
}

/// Of the one that the spot is for, or else of all who may do the task.
Time StationBook::blocked_people(int task, Spot& spot) const {
  const Time length = spot.hands_end - spot.start;
  if (length == 0) return spot.start;
  if (spot.person >= 0) return free_from(spot.person, spot.start, length, true);
  Time soonest = kNever;
  for (const int person : task_of(task).people) {
    const Time free = free_from(person, spot.start, length, false);
    if (free < soonest) {
      soonest = free;
      spot.person = person;
    }
  }
  return soonest;
}

Time StationBook::blocked_capacity(int task, const Need& need, const Spot& spot) const {
  const int capacity = station(need.resource).capacity;
  if (capacity == 1 && !station(need.resource).together) return blocked_single(task, need, spot);
  struct Own {
    Time to;
    int count;
  };
  std::vector<Own> own;
  Time to = spot.start;
  for (const Need& mine : task_of(task).needs) {
    if (mine.resource != need.resource) continue;
    own.push_back({release(task, mine, spot.end), mine.count});
    to = std::max(to, own.back().to);
  }
  const auto excess = [&](Time moment, Time& frees) {
    int used = 0;
    for (const Own& mine : own) used += moment < mine.to ? mine.count : 0;
    frees = kNever;
    for (const Hold& hold : holds(need.resource)) {
      const Time until = release(hold, task, spot.start);
      if (hold.from > moment || until <= moment) continue;
      used += hold.count;
      frees = std::min(frees, until);
    }
    return used > capacity;
  };
  Time next = spot.start, frees = 0;
  if (to > spot.start && excess(spot.start, frees)) next = frees;
  for (const Hold& hold : holds(need.resource)) {
    if (hold.from > spot.start && hold.from < to && excess(hold.from, frees)) next = std::max(next, frees);
  }
  return next;
}

/// The same where holds never overlap.
Time StationBook::blocked_single(int task, const Need& need, const Spot& spot) const {
  if (need.count == 0) return spot.start;
  const Time length = release(task, need, spot.end) - spot.start;
  if (length == 0) return spot.start;
  const auto& all = holds(need.resource);
  Time free = spot.start;
  for (std::size_t i = first_after(need.resource, free); i < all.size() && all[i].from < free + length; ++i) {
    if (all[i].count > 0 && all[i].to > all[i].from) free = std::max(free, release(all[i], task, spot.start));
  }
  return free;
}

Time StationBook::blocked_together(int task, const Need& need, const Spot& spot) const {
  const Time to = release(task, need, spot.end);
  Time next = spot.start;
  for (const Hold& hold : holds(need.resource)) {
    const Time until = release(hold, task, spot.start);
    if (hold.from == spot.start || hold.from >= to || until <= spot.start || hold.from == until) continue;
    next = std::max(next, hold.from > spot.start ? hold.from : until);
  }
  return next;
}

/// When an oven that has gone cold since `last` is warm, at `start` at the earliest: somebody is there to switch it on, and it
/// does not stand warm for longer than it stays so by itself.
Time StationBook::warm_from_cold(const Station& oven, Time last, Time start) const {
  const Time free = std::max<Time>(last, 0), on = std::max(free, start - oven.warm_up), attended = set_.hours.attended_until(on);
  const bool before = attended >= free && on - attended <= oven.stays_warm;
  return (before ? on : set_.hours.attended_from(on)) + oven.warm_up;
}

Time StationBook::blocked_warmth(int task, const Need& need, const Spot& spot) const {
  const Station& oven = station(need.resource);
  const Time to = release(task, need, spot.end);
  if (oven.warm_up == 0 || to == spot.start) return spot.start;
  Time last = oven.used_until, next = kNever;
  for (const Hold& hold : holds(need.resource)) {
    const Time until = release(hold, task, spot.start);
    if (hold.from == until) continue;
    if (hold.from <= spot.start) {
      last = std::max(last, until);
    } else {
      next = std::min(next, hold.from);
    }
  }
  if (spot.start - last > oven.stays_warm) {
    if (const Time warm = warm_from_cold(oven, last, spot.start); warm > spot.start) return warm;
  }
  const Time rest = next - std::max(to, last);
  if (next < kNever && rest > oven.stays_warm && warm_from_cold(oven, std::max(to, last), next) > next)
    return spot.start + rest - oven.stays_warm;
  return spot.start;
}

Time StationBook::blocked_families(int task, const Need& need, const Spot& spot) const {
  const int family = task_of(task).family;
  if (station(need.resource).change_over == 0 || family == 0) return spot.start;
  const Time to = release(task, need, spot.end);
  Time next = spot.start;
  std::optional<int> after;
  for (const Hold& hold : holds(need.resource)) {
    const int other = task_of(hold.task).family;
    if (other == 0) continue;
    const Time until = release(hold, task, spot.start);
    if (other != family && hold.from < to && spot.start < until) next = std::max(next, until);
    const std::pair place(spots_[at(hold.task)].start, hold.task);
    if (place > std::pair(spot.start, task) &&
        (!after || place < std::pair(spots_[at(*after)].start, *after)))
      after = hold.task;
  }
  if (!after) return next;
  // What stands behind keeps the change-over that it was entered with.
  const auto before = before_on(need.resource, task, spot.start);
  const int behind = task_of(*after).family;
  const bool paid = before && task_of(*before).family != behind;
  if (paid != (family != behind)) next = std::max({next, spots_[at(*after)].start, spot.start + 1});
  return next;
}

Time StationBook::blocked_apart(int task, const Spot& spot) const {
  const int step = task_of(task).step;
  Time next = spot.start;
  for (const int number : apart_[at(step)]) {
    const Apart& pair = set_.apart[at(number)];
    const auto against = [&](int other_step, Time clear_mine, Time clear_other) {
      for (int o = set_.first_task[at(other_step)]; o < set_.first_task[at(other_step) + 1]; ++o) {
        if (o == task || !entered_[at(o)]) continue;
        const bool before = start(o) >= spot.end + clear_mine, behind = spot.start >= end(o) + clear_other;
        if (!before && !behind) next = std::max(next, end(o) + clear_other);
      }
    };
    if (pair.step_a == step) against(pair.step_b, pair.clear_after_a, pair.clear_after_b);
    if (pair.step_b == step) against(pair.step_a, pair.clear_after_b, pair.clear_after_a);
  }
  return next;
}

Time StationBook::blocked(int task, Spot& spot) const {
  Time next = blocked_people(task, spot);
  for (const Need& need : task_of(task).needs) {
    if (next > spot.start) return next;
    if (station(need.resource).together) next = std::max(next, blocked_together(task, need, spot));
    if (next == spot.start) next = std::max(next, blocked_capacity(task, need, spot));
    next = std::max({next, blocked_warmth(task, need, spot), blocked_families(task, need, spot)});
  }
  return next > spot.start ? next : blocked_apart(task, spot);
}

/// The first start that does not end before `earliest_end`.
Time StationBook::next_start(int task, const Spot& spot, const ShopHours& hours, Time earliest_end) const {
  const Task& t = task_of(task);
  const Time length = t.hands + spot.change, wanted = earliest_end - t.alone;
  return std::max(spot.start + 1, hours.start_for_end(wanted - 1, length, t.may_pause) + 1);
}

/// When somebody is there to begin what needs no hands, unless it begins by itself.
Time StationBook::begun_from(int task, const Spot& spot) const {
  const Task& t = task_of(task);
  if (!t.begun || spot.change > 0) return spot.start;
  const bool by_itself = std::any_of(t.follows.begin(), t.follows.end(), [&](int before) { return entered_[at(before)] && end(before) == spot.start; });
  return by_itself ? spot.start : set_.hours.attended_from(spot.start);
}

/// Whoever does it works at it in hours of their own.
bool StationBook::pauses_for_absences(int task) const {
  const Task& t = task_of(task);
  return t.may_pause && t.hands > 0 && std::any_of(t.people.begin(), t.people.end(), [&](int person) { return !station(person).away.empty(); });
}

std::optional<Spot> StationBook::fit(int task, Time earliest, Time earliest_end) const {
  if (!pauses_for_absences(task)) return fit(task, earliest, earliest_end, -1);
  std::optional<Spot> first;
  for (const int person : task_of(task).people) {
    const auto spot = fit(task, earliest, earliest_end, person);
    if (spot && (!first || spot->end < first->end)) first = spot;
  }
  return first;
}

/// The same for one person, or with -1 for any who may do it and is not away meanwhile.
std::optional<Spot> StationBook::fit(int task, Time earliest, Time earliest_end, int person) const {
  const Task& t = task_of(task);
  const ShopHours& hours = hours_at(set_, task, person);
  for (Time from = earliest; from < kNever;) {
    Spot spot;
    spot.person = person;
    spot.change = change_over(task, from);
    spot.start = hours.start_from(from, t.hands + spot.change, t.may_pause);
    if (spot.start >= kNever) return std::nullopt;
    if (const Time begun = begun_from(task, spot); begun > spot.start) {
      from = begun;
      continue;
    }
    if (spot.start != from && t.family != 0) {
      from = spot.start;  // the change-over may be another one there
      if (change_over(task, from) != spot.change) continue;
    }
    spot.hands_end = hours.end_of(spot.start, t.hands + spot.change, t.may_pause);
    if (spot.hands_end >= kNever) return std::nullopt;
    spot.end = spot.hands_end + t.alone;
    const Time next = spot.end < earliest_end ? next_start(task, spot, hours, earliest_end) : blocked(task, spot);
    if (next <= spot.start) return spot;
    from = next;
  }
  return std::nullopt;
}

void StationBook::refresh(int task) {
  for (Need const& need : task_of(task).needs) {
    for (Hold& hold : holds_[at(need.resource)]) {
      if (hold.task == task && hold.need >= 0)
        hold.to = release(task, task_of(task).needs[at(hold.need)], end(task));
    }
  }
}

void StationBook::insert(int resource, const Hold& hold) {
  auto& all = holds_[at(resource)];
  all.insert(std::upper_bound(all.begin(), all.end(), hold,
                              [](const Hold& a, const Hold& b) { return a.from < b.from; }),
             hold);
}

void StationBook::erase(int resource, int task) {
  auto& all = holds_[at(resource)];
  const auto from =
      std::lower_bound(all.begin(), all.end(), start(task), [](const Hold& h, Time t) { return h.from < t; });
  const auto to =
      std::upper_bound(from, all.end(), start(task), [](Time t, const Hold& h) { return t < h.from; });
  all.erase(std::remove_if(from, to, [&](const Hold& hold) { return hold.task == task; }), to);
}

void StationBook::enter(int task, const Spot& spot) {
  spots_[at(task)] = spot;
  entered_[at(task)] = true;
  if (spot.person >= 0) insert(spot.person, {spot.start, spot.hands_end, 1, task, -1});
  const auto& needs = task_of(task).needs;
  for (std::size_t n = 0; n < needs.size(); ++n) {
    insert(needs[n].resource,
           {spot.start, release(task, needs[n], spot.end), needs[n].count, task, static_cast<int>(n)});
  }
  for (const int holder : released_by_[at(task)]) {
    if (entered_[at(holder)]) refresh(holder);
  }
}

void StationBook::remove(int task) {
  if (spots_[at(task)].person >= 0) erase(spots_[at(task)].person, task);
  for (const Need& need : task_of(task).needs) erase(need.resource, task);
  entered_[at(task)] = false;
  for (const int holder : released_by_[at(task)]) {
    if (entered_[at(holder)]) refresh(holder);
  }
}

Placement StationBook::placement() const {
  Placement out;
  for (const Spot& spot : spots_) {
    out.start.push_back(spot.start);
    out.change.push_back(spot.change);
    out.person.push_back(spot.person);
  }
  return out;
}

}  // namespace handlot::schedule
