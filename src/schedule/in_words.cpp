// Placements turned back into the words of a plan.
#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "schedule/tasks.h"

namespace handlot::schedule {

namespace {

std::size_t at(int i) {
  return static_cast<std::size_t>(i);
}

class Teller {
 public:
  Teller(const plan::Work& work, const TaskSet& set, const Placement& placement)
      : work_(work), set_(set), placed_(placement), incoming_(set.tasks.size()), outgoing_(set.tasks.size()) {
    for (std::size_t l = 0; l < set.links.size(); ++l)
      incoming_[at(set.links[l].to)].push_back(static_cast<int>(l));
    for (std::size_t l = 0; l < set.links.size(); ++l) {
      if (set.links[l].max < kNever) outgoing_[at(set.links[l].from)].push_back(static_cast<int>(l));
    }
    uses_.resize(set.stations.size());
    for (std::size_t t = 0; t < set.tasks.size(); ++t) {
      for (const Need& need : set.tasks[t].needs) uses_[at(need.resource)].push_back({static_cast<int>(t), &need});
    }
  }

  plan::Operation operation(int task) const {
    const Task& t = set_.tasks[at(task)];
    plan::Operation op;
    op.step = work_.steps[at(t.step)].id;
    op.first_unit = t.run.first;
    op.last_unit = t.run.last;
    op.start = moment(start(task));
    op.hands_end = moment(hands_end(set_, placed_, task));
    op.end = moment(end(task));
    op.hands_on = Duration(t.hands + change(task));
    op.uses = work_.steps[at(t.step)].timing.uses;
    if (op.hands_on.seconds > 0) op.people = {work_.resources[at(placed_.person[at(task)])].id};
    op.because = because(task);
    return op;
  }

 private:
  Time start(int task) const { return placed_.start[at(task)]; }
  Time change(int task) const { return placed_.change[at(task)]; }
  Time end(int task) const { return task_end(set_, placed_, task); }
  Instant moment(Time t) const { return work_.start + Duration(t); }

  std::string name(int task) const {
    const Task& t = set_.tasks[at(task)];
    const std::string& id = work_.steps[at(t.step)].id.text;
    return t.run.first == t.run.last ? fmt::format("'{}' of unit {}", id, t.run.first)
                                     : fmt::format("'{}' of units {} to {}", id, t.run.first, t.run.last);
  }

  /// What ends or begins exactly when this task starts: a wait first, then hands, things, air, warmth, hours, the order of
  /// units, and a latest end last.
  std::string because(int task) const {
    const std::string why = held_until_now(task), oven = switched_on(task);
    if (oven.empty() || !warmed(task).empty()) return why;
    return why.empty() ? oven : why + "; " + oven;
  }

  std::string held_until_now(int task) const {
    if (start(task) == 0) return "the plan starts";
    for (const std::string& text :
         {waited(task), hands(task), things(task), aired(task), warmed(task), arrival(task), opening(task), followed(task), held_back(task), in_good_time(task)}) {
      if (!text.empty()) return text;
    }
    return "";
  }

  Time earliest_by(const Link& link) const {
    return link.min + (link.from_edge == plan::Edge::start ? start(link.from) : end(link.from));
  }

  std::string waited(int task) const {
    for (const int l : incoming_[at(task)]) {
      const Link& link = set_.links[at(l)];
      if (link.to_edge != plan::Edge::start || link.min <= 0 || earliest_by(link) != start(task)) continue;
      return fmt::format("{} after {}: {}", handlot::in_words(Duration(link.min)), name(link.from),
                         reason(link));
    }
    return "";
  }

  std::string followed(int task) const {
    for (const int l : incoming_[at(task)]) {
      const Link& link = set_.links[at(l)];
      if (link.to_edge != plan::Edge::start || earliest_by(link) != start(task)) continue;
      if (link.constraint < 0 && link.look < 0) return fmt::format("after {}", name(link.from));
      return fmt::format("after {}: {}", name(link.from), reason(link));
    }
    return "";
  }

  std::string reason(const Link& link) const {
    if (link.look >= 0) return work_.looks[at(link.look)].reason.text;
    return link.constraint < 0 ? "units in order" : work_.constraints[at(link.constraint)].reason.text;
  }

  std::string hands(int task) const {
    if (set_.tasks[at(task)].hands + change(task) == 0) return "";
    for (std::size_t o = 0; o < set_.tasks.size(); ++o) {
      const int other = static_cast<int>(o);
      if (other == task || placed_.person[o] != placed_.person[at(task)]) continue;
      if (hands_end(set_, placed_, other) == start(task) &&
          set_.tasks[o].hands + change(other) > 0) {
        return fmt::format("hands come free from {}", name(other));
      }
    }
    return "";
  }

  struct Held {
    int task;
    const Need* need;
  };

  Time release(const Held& held) const {
    Time to = end(held.task) + held.need->hold;
    for (const int until : held.need->until) to = std::max(to, until == held.task ? to : start(until));
    return to;
  }

  /// What else is in use just before the task takes it; a thing that was there all along explains nothing.
  bool short_before(int task, const Need& need) const {
    int in_use = need.count;
    for (const Held& held : uses_[at(need.resource)]) {
      if (held.task != task && start(held.task) < start(task) && release(held) >= start(task)) in_use += held.need->count;
    }
    const Station& station = set_.stations[at(need.resource)];
    return in_use > station.capacity || station.together;
  }

  const std::string& thing(const Need& need) const {
    const plan::Resource& resource = work_.resources[at(need.resource)];
    return resource.name.empty() ? resource.id.text : resource.name;
  }

  std::string things(int task) const {
    for (const Need& need : set_.tasks[at(task)].needs) {
      if (!short_before(task, need)) continue;
      for (const Held& held : uses_[at(need.resource)]) {
        if (held.task == task || start(held.task) >= start(task) || release(held) != start(task)) continue;
        return fmt::format("'{}' comes free from {}", thing(need), name(held.task));
      }
    }
    return "";
  }

  /// A step that may not meet this one has just ended, or the air is clear of it.
  std::string aired(int task) const {
    const int step = set_.tasks[at(task)].step;
    for (const Apart& pair : set_.apart) {
      for (const bool mine_is_a : {true, false}) {
        if ((mine_is_a ? pair.step_a : pair.step_b) != step) continue;
        const int other = mine_is_a ? pair.step_b : pair.step_a;
        const Time clear = mine_is_a ? pair.clear_after_b : pair.clear_after_a;
        for (int o = set_.first_task[at(other)]; o < set_.first_task[at(other) + 1]; ++o) {
          if (o == task || end(o) + clear != start(task)) continue;
          const std::string wait = clear > 0 ? handlot::in_words(Duration(clear)) + " after" : "not before the end of";
          return fmt::format("{} {}: {}", wait, name(o), work_.apart[at(pair.number)].reason.text);
        }
      }
    }
    return "";
  }

  /// End of the last use of a station before this task; long ago if it is the first.
  Time used_before(int task, int resource) const {
    Time last = set_.stations[at(resource)].used_until;
    for (const Held& held : uses_[at(resource)]) {
      if (start(held.task) < start(task)) last = std::max(last, release(held));
    }
    return last;
  }

  std::string warmed(int task) const {
    for (const Need& need : set_.tasks[at(task)].needs) {
      const Station& station = set_.stations[at(need.resource)];
      const Time warm_up = station.warm_up, before = used_before(task, need.resource);
      const Time on = start(task) - warm_up;
      if (warm_up == 0 || start(task) - before <= station.stays_warm || (std::max<Time>(0, before) != on && !opens_at(on))) continue;
      return fmt::format("'{}' warms up for {}", thing(need), handlot::in_words(Duration(warm_up)));
    }
    return "";
  }

  /// The first use after a station was cold is also the time to switch it on: told once for those that start together.
  std::string switched_on(int task) const {
    for (const Need& need : set_.tasks[at(task)].needs) {
      const Station& station = set_.stations[at(need.resource)];
      const Time before = used_before(task, need.resource);
      const bool warm = start(task) - before <= station.stays_warm;
      const bool told = std::any_of(uses_[at(need.resource)].begin(), uses_[at(need.resource)].end(), [&](const Held& held) {
        return held.task < task && start(held.task) == start(task);
      });
      if (station.warm_up == 0 || warm || told) continue;
      const Time on = set_.hours.attended_until(start(task) - station.warm_up);
      return fmt::format("'{}' is switched on {} before", thing(need), handlot::in_words(Duration(start(task) - on)));
    }
    return "";
  }

  /// What must follow soon can't come sooner.
  std::string held_back(int task) const {
    for (const int l : outgoing_[at(task)]) {
      const Link& link = set_.links[at(l)];
      const Time mine = link.from_edge == plan::Edge::start ? start(task) : end(task);
      const Time theirs = link.to_edge == plan::Edge::start ? start(link.to) : end(link.to);
      if (link.to == task || link.max >= kNever || theirs - mine != link.max) continue;
      return fmt::format("{} comes no sooner, and must come within {}: {}", name(link.to),
                         handlot::in_words(*work_.constraints[at(link.constraint)].max), reason(link));
    }
    return "";
  }

  /// It could come sooner, and its clock would run for nothing.
  std::string in_good_time(int task) const {
    for (const int l : outgoing_[at(task)]) {
      const Link& link = set_.links[at(l)];
      if (link.to == task || link.max >= kNever) continue;
      return fmt::format("no sooner, as {} must come within {}: {}", name(link.to),
                         handlot::in_words(*work_.constraints[at(link.constraint)].max), reason(link));
    }
    return "";
  }

  /// Whoever does it was away in the last shop hours before it.
  std::string arrival(int task) const {
    const int person = placed_.person[at(task)];
    if (person < 0) return "";
    const auto& away = set_.stations[at(person)].away;
    const bool comes = std::any_of(away.begin(), away.end(), [&](const OpenSpan& a) {
      return a.close <= start(task) && set_.hours.open_between(a.close, start(task)) == 0;
    });
    return comes ? fmt::format("'{}' is there from then on", work_.resources[at(person)].id.text) : "";
  }

  std::string opening(int task) const {
    return opens_at(start(task)) ? "the shop opens" : "";
  }

  bool opens_at(Time t) const {
    const auto& spans = set_.hours.spans();
    return std::any_of(spans.begin(), spans.end(), [&](const OpenSpan& s) { return s.open == t; });
  }

  const plan::Work& work_;
  const TaskSet& set_;
  const Placement& placed_;
  std::vector<std::vector<int>> incoming_;  ///< links to each task
  std::vector<std::vector<int>> outgoing_;  ///< latest ends from each task
  std::vector<std::vector<Held>> uses_;     ///< of each resource
};

}  // namespace

plan::Schedule in_words(const plan::Work& work, const TaskSet& set, const Placement& placement) {
  const Teller teller(work, set, placement);
  plan::Schedule out;
  out.start = work.start;
  out.finish = work.start + Duration(finish_of(set, placement));
  out.makespan = out.finish - out.start;
  std::vector<int> order(set.tasks.size());
  for (std::size_t t = 0; t < order.size(); ++t) order[t] = static_cast<int>(t);
  std::stable_sort(order.begin(), order.end(),
                   [&](int a, int b) { return placement.start[at(a)] < placement.start[at(b)]; });
  for (const int task : order) {
    out.operations.push_back(teller.operation(task));
    out.hands_on += out.operations.back().hands_on;
    out.setups += set.tasks[at(task)].setups + (placement.change[at(task)] > 0 ? 1 : 0);
  }
  return out;
}

}  // namespace handlot::schedule
