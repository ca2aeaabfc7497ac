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
      : work_(work), set_(set), placed_(placement), incoming_(set.tasks.size()) {
    for (std::size_t l = 0; l < set.links.size(); ++l)
      incoming_[at(set.links[l].to)].push_back(static_cast<int>(l));
  }

  plan::Operation operation(int task) const {
    const Task& t = set_.tasks[at(task)];
    plan::Operation op;
    op.step = work_.steps[at(t.step)].id;
    op.first_unit = t.run.first;
    op.last_unit = t.run.last;
    op.start = moment(start(task));
    op.hands_end = moment(hands_end(set_, task, start(task), change(task)));
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
  Time end(int task) const { return task_end(set_, task, start(task), change(task)); }
  Instant moment(Time t) const { return work_.start + Duration(t); }

  std::string name(int task) const {
    const Task& t = set_.tasks[at(task)];
    const std::string& id = work_.steps[at(t.step)].id.text;
    return t.run.first == t.run.last ? fmt::format("'{}' of unit {}", id, t.run.first)
                                     : fmt::format("'{}' of units {} to {}", id, t.run.first, t.run.last);
  }

  /// What ends or begins exactly when this task starts: a wait first, then hands, things, hours, the order of
  /// units.
  std::string because(int task) const {
    if (start(task) == 0) return "the plan starts";
    for (const std::string& text : {waited(task), hands(task), things(task), opening(task), followed(task)}) {
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
      if (link.constraint < 0) return fmt::format("after {}", name(link.from));
      return fmt::format("after {}: {}", name(link.from), reason(link));
    }
    return "";
  }

  std::string reason(const Link& link) const {
    return link.constraint < 0 ? "units in order" : work_.constraints[at(link.constraint)].reason.text;
  }

  std::string hands(int task) const {
    if (set_.tasks[at(task)].hands + change(task) == 0) return "";
    for (std::size_t o = 0; o < set_.tasks.size(); ++o) {
      const int other = static_cast<int>(o);
      if (other == task || placed_.person[o] != placed_.person[at(task)]) continue;
      if (hands_end(set_, other, start(other), change(other)) == start(task) &&
          set_.tasks[o].hands + change(other) > 0) {
        return fmt::format("hands come free from {}", name(other));
      }
    }
    return "";
  }

  std::string things(int task) const {
    for (const Need& need : set_.tasks[at(task)].needs) {
      for (std::size_t o = 0; o < set_.tasks.size(); ++o) {
        const int other = static_cast<int>(o);
        if (other == task) continue;
        for (const Need& held : set_.tasks[o].needs) {
          if (held.resource == need.resource && end(other) + held.hold == start(task)) {
            return fmt::format("'{}' comes free from {}", work_.resources[at(need.resource)].id.text,
                               name(other));
          }
        }
      }
    }
    return "";
  }

  std::string opening(int task) const {
    const auto& spans = set_.hours.spans();
    const bool opens =
        std::any_of(spans.begin(), spans.end(), [&](const OpenSpan& s) { return s.open == start(task); });
    return opens ? "the shop opens" : "";
  }

  const plan::Work& work_;
  const TaskSet& set_;
  const Placement& placed_;
  std::vector<std::vector<int>> incoming_;
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
