#include "schedule/faults.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "core/text.h"
#include "schedule/own_time.h"
#include "schedule/reach.h"
#include "schedule/shop_hours.h"
#include "schedule/step_load.h"
#include "schedule/tasks.h"

namespace handlot::schedule {

namespace {

using plan::Edge;

class Inspection {
 public:
  explicit Inspection(const plan::Work& work) : work_(work), hours_(work.hours, work.start) {}

  std::vector<plan::Reason> all() {
    names();
    if (!found_.empty()) return found_;
    for (const plan::Step& step : work_.steps) numbers(step);
    if (!found_.empty()) return found_;
    for (const plan::Step& step : work_.steps) room(step);
    for (const plan::Constraint& c : work_.constraints) {
      window(c);
      in_turn(c);
    }
    if (found_.empty()) circle();
    return found_;
  }

 private:
  void add(const char* rule, const Place& place, std::string text) {
    plan::Reason reason;
    reason.rule = RuleId(rule);
    reason.text = std::move(text);
    reason.place = place;
    found_.push_back(std::move(reason));
  }

  const plan::Resource* resource(const ResourceId& id) const {
    const auto found =
        std::find_if(work_.resources.begin(), work_.resources.end(), [&](auto& r) { return r.id == id; });
    return found == work_.resources.end() ? nullptr : &*found;
  }

  int step_number(const StepId& id) const {
    const auto found =
        std::find_if(work_.steps.begin(), work_.steps.end(), [&](auto& s) { return s.id == id; });
    return found == work_.steps.end() ? -1 : static_cast<int>(found - work_.steps.begin());
  }

  void names() {
    if (work_.units < 1) add("schedule-units", {}, fmt::format("the lot has {} units", work_.units));
    std::set<StepId> steps;
    for (const plan::Step& step : work_.steps) {
      if (!steps.insert(step.id).second)
        add("schedule-names", step.place, fmt::format("two steps are called '{}'", step.id.text));
      for (const plan::Use& use : step.timing.uses) use_names(step, use);
      for (const ResourceId& person : step.timing.people) {
        const plan::Resource* r = resource(person);
        if (r == nullptr || r->kind != plan::Resource::Kind::person) {
          add("schedule-names", step.place,
              fmt::format("'{}' is to be done by '{}', who is not among the people", step.id.text,
                          person.text));
        }
      }
    }
    std::set<ResourceId> resources;
    for (const plan::Resource& r : work_.resources) {
      if (!resources.insert(r.id).second)
        add("schedule-names", {}, fmt::format("two resources are called '{}'", r.id.text));
    }
    for (const plan::Constraint& c : work_.constraints) {
      for (const plan::Event& e : {c.from, c.to}) {
        if (step_number(e.step) < 0)
          add("schedule-names", c.reason.place,
              fmt::format("a link names the step '{}', which the work has not", e.step.text));
      }
    }
    for (const plan::LookFirst& l : work_.looks) {
      for (const StepId& id : {l.look, l.repeat}) {
        if (step_number(id) < 0)
          add("schedule-names", l.reason.place, fmt::format("unit 1 is looked at in '{}' before '{}' is repeated, but the work has no step '{}'", l.look.text, l.repeat.text, id.text));
      }
    }
    for (const plan::NeverTogether& pair : work_.apart) {
      for (const StepId& id : {pair.a, pair.b}) {
        if (step_number(id) < 0)
          add("schedule-names", pair.reason.place,
              fmt::format("'{}' is kept apart from others, but the work has no such step", id.text));
      }
    }
  }

  void use_names(const plan::Step& step, const plan::Use& use) {
    const plan::Resource* r = resource(use.resource);
    if (r == nullptr) {
      add("schedule-names", step.place,
          fmt::format("'{}' uses '{}', which the shop has not", step.id.text, use.resource.text));
    } else if (r->kind == plan::Resource::Kind::person) {
      add("schedule-names", step.place,
          fmt::format("'{}' uses '{}' as a station, who is a person", step.id.text, use.resource.text));
    }
    if (use.until_start_of && step_number(*use.until_start_of) < 0) {
      add("schedule-names", step.place,
          fmt::format("'{}' holds '{}' until '{}' starts, which the work has not", step.id.text,
                      use.resource.text, use.until_start_of->text));
    }
  }

  void numbers(const plan::Step& step) {
    const plan::Timing& t = step.timing;
    for (const Duration d : {t.setup, t.run, t.unattended, t.first_piece_check}) {
      if (d.seconds < 0)
        add("schedule-numbers", step.place, fmt::format("'{}' has a time of {}", step.id.text, in_words(d)));
    }
    if (t.batch_max < 0 || (t.batch_max > 0 && t.batch_min > t.batch_max)) {
      add("schedule-numbers", step.place,
          fmt::format("'{}' asks for sub-batches of {} to {} units", step.id.text, t.batch_min, t.batch_max));
    }
    for (const plan::Use& use : t.uses) {
      if (use.count < 0 || use.hold_after_end.seconds < 0) {
        add("schedule-numbers", step.place,
            fmt::format("'{}' uses less than nothing of '{}'", step.id.text, use.resource.text));
      }
    }
  }

  /// The first task and a repeated one with the smallest sub-batch: if those do not fit, none does.
  std::vector<Run> smallest(const plan::Timing& t) const {
    const std::vector<Run> runs = runs_of(t, work_.units, sizes_of(t, work_.units).front());
    return runs.size() == 1 ? runs : std::vector<Run>{runs[0], runs[1]};
  }

  void room(const plan::Step& step) {
    const plan::Timing& t = step.timing;
    Time longest = 0;
    for (const Run& run : smallest(t)) longest = std::max(longest, hands_of(t, run));
    if (longest > 0) hands_room(step, longest);
    for (const plan::Use& use : t.uses) {
      const plan::Resource& r = *resource(use.resource);
      const bool each = use.per_unit || r.together;
      int most = 0;
      for (const Run& run : smallest(t)) most = std::max(most, use.count * (each ? run.size() : 1));
      if (most > r.capacity) {
        add("schedule-capacity", step.place,
            fmt::format("'{}' needs {} of '{}' at once, and there {} {}", step.id.text, most, r.id.text,
                        r.capacity == 1 ? "is" : "are", r.capacity));
      } else {
        held_for_all(step, use, r);
      }
    }
  }

  int most_at_a_time(const plan::Timing& t) const {
    int most = 1;
    for (const Run& run : smallest(t)) most = std::max(most, run.size());
    return most;
  }

  /// What is held until a step begins is held for all units of its sub-batch at that moment, however small that may be.
  void held_for_all(const plan::Step& step, const plan::Use& use, const plan::Resource& r) {
    const plan::Timing& t = step.timing;
    if (!use.until_start_of || t.setup + t.run + t.unattended == Duration(0)) return;
    const int until = step_number(*use.until_start_of);
    if (!Reach(work_).follows(step_number(step.id), until)) return;
    const int units = most_at_a_time(work_.steps[static_cast<std::size_t>(until)].timing);
    const int own = sizes_of(t, work_.units).back();
    const int needed = use.count * (use.per_unit || r.together ? units : (units + own - 1) / own);
    if (needed <= r.capacity) return;
    add("schedule-capacity", step.place,
        fmt::format("'{}' holds {} of '{}' for the {} units that begin '{}' together, and there {} {}", step.id.text, needed, r.id.text,
                    units, use.until_start_of->text, r.capacity == 1 ? "is" : "are", r.capacity));
  }

  void hands_room(const plan::Step& step, Time longest) {
    const bool somebody = !step.timing.people.empty() ||
                          std::any_of(work_.resources.begin(), work_.resources.end(),
                                      [](auto& r) { return r.kind == plan::Resource::Kind::person; });
    const std::string need = in_words(Duration(longest));
    if (!somebody)
      add("schedule-people", step.place,
          fmt::format("'{}' is hands-on work, and the shop has nobody", step.id.text));
    if (hours_.total() == 0) {
      add("schedule-hours", step.place,
          fmt::format("'{}' needs {} of hands-on work, and the shop is never open", step.id.text, need));
    } else if (away_too_often(step, longest)) {
      return;
    } else if (!step.timing.may_pause && longest > hours_.longest_span()) {
      add("schedule-hours", step.place,
          fmt::format("'{}' needs {} of hands-on work in one go, and the longest stretch of shop hours is {}",
                      step.id.text, need, in_words(Duration(hours_.longest_span()))));
    } else if (longest > hours_.total()) {
      add("schedule-hours", step.place,
          fmt::format("'{}' needs {} of hands-on work, and the calendar has {} of shop hours in all",
                      step.id.text, need, in_words(Duration(hours_.total()))));
    }
  }

  /// How long somebody may be at work: in one go, or with pauses.
  Time at_work(const plan::Resource& person, bool may_pause) const {
    Time most = 0, from = 0;
    const auto stretch = [&](Time to) {
      if (may_pause) {
        most += hours_.open_between(from, to);
        return;
      }
      for (const OpenSpan& open : hours_.spans()) most = std::max(most, std::min(to, open.close) - std::max(from, open.open));
    };
    for (const plan::Interval& away : person.away) {
      stretch((away.open - work_.start).seconds);
      from = std::max(from, (away.close - work_.start).seconds);
    }
    stretch(kNever);
    return most;
  }

  /// Those who may do it are away too often, which the shop's own hours do not say.
  bool away_too_often(const plan::Step& step, Time longest) {
    const auto& named = step.timing.people;
    Time most = 0;
    for (const plan::Resource& r : work_.resources) {
      if (r.kind != plan::Resource::Kind::person || (!named.empty() && std::find(named.begin(), named.end(), r.id) == named.end())) continue;
      if (r.away.empty()) return false;
      most = std::max(most, at_work(r, step.timing.may_pause));
    }
    if (longest <= most) return false;
    add("schedule-hours", step.place,
        fmt::format("'{}' needs {} of hands-on work{}, and nobody who may do it is there for longer than {}{}", step.id.text, in_words(Duration(longest)),
                    step.timing.may_pause ? "" : " in one go", in_words(Duration(most)), step.timing.may_pause ? " in all" : ""));
    return true;
  }

  void window(const plan::Constraint& c) {
    if (c.max && *c.max < c.min) {
      add("schedule-links", c.reason.place,
          fmt::format("'{}' must come at least {} and at most {} after '{}': {}", c.to.step.text,
                      in_words(c.min), in_words(*c.max), c.from.step.text, c.reason.text));
    }
  }

  /// Units that can't go in smaller sub-batches, and are done one after another for longer than a latest end allows.
  void in_turn(const plan::Constraint& c) {
    for (const bool leaving : {true, false}) {
      const plan::Step& step = work_.steps[static_cast<std::size_t>(step_number(leaving ? c.from.step : c.to.step))];
      if (!c.max || c.from.step == c.to.step || (leaving && step.timing.unattended.seconds > 0)) continue;
      const Run run{1, most_at_a_time(step.timing)};
      const Duration waits = c.min + Duration(wait_within(c, step.timing, run));
      if (run.size() == 1 || waits <= *c.max) continue;
      add("schedule-links", step.place,
          fmt::format("'{}' takes no fewer than {} units at a time, one after another: one of them waits {} between '{}' and '{}', and "
                      "may wait {}: {}",
                      step.id.text, run.size(), in_words(waits), c.from.step.text, c.to.step.text, in_words(*c.max), c.reason.text));
    }
  }

  /// One arc of the graph of one unit's events: time(to) - time(from) >= length.
  struct Arc {
    int from;
    int to;
    Time length;
    int constraint;  ///< -1: a step's own length
  };

  static int node(int step, Edge edge) { return 2 * step + (edge == Edge::end ? 1 : 0); }

  std::vector<Arc> arcs() const {
    std::vector<Arc> all;
    for (std::size_t s = 0; s < work_.steps.size(); ++s) {
      const plan::Timing& t = work_.steps[s].timing;
      const int begin = node(static_cast<int>(s), Edge::start), end = node(static_cast<int>(s), Edge::end);
      Time shortest = kNever, longest = 0;
      for (const int size : sizes_of(t, work_.units)) {
        for (const Run& run : runs_of(t, work_.units, size)) {
          shortest = std::min(shortest, hands_of(t, run) + alone_of(t, run));
          longest = std::max(longest, hands_of(t, run) + alone_of(t, run));
        }
      }
      all.push_back({begin, end, shortest, -1});
      if (!t.may_pause && t.material_family.empty()) all.push_back({end, begin, -longest, -1});
    }
    for (std::size_t i = 0; i < work_.constraints.size(); ++i) {
      const plan::Constraint& c = work_.constraints[i];
      const int from = node(step_number(c.from.step), c.from.edge),
                to = node(step_number(c.to.step), c.to.edge);
      all.push_back({from, to, c.min.seconds, static_cast<int>(i)});
      if (c.max) all.push_back({to, from, -c.max->seconds, static_cast<int>(i)});
    }
    return all;
  }

  /// A circle of arcs that adds up to more than nothing, if there is one.
  void circle() {
    const std::vector<Arc> all = arcs();
    const std::size_t nodes = 2 * work_.steps.size();
    std::vector<Time> at(nodes, 0);
    std::vector<int> by(nodes, -1);
    int moved = -1;
    for (std::size_t round = 0; round <= nodes; ++round) {
      moved = -1;
      for (std::size_t a = 0; a < all.size(); ++a) {
        const auto from = static_cast<std::size_t>(all[a].from), to = static_cast<std::size_t>(all[a].to);
        if (at[from] + all[a].length <= at[to]) continue;
        at[to] = at[from] + all[a].length;
        by[to] = static_cast<int>(a);
        moved = all[a].to;
      }
      if (moved < 0) return;
    }
    for (std::size_t i = 0; i < nodes; ++i)
      moved = all[static_cast<std::size_t>(by[static_cast<std::size_t>(moved)])].from;
    tell_circle(all, by, moved);
  }

  void tell_circle(const std::vector<Arc>& all, const std::vector<int>& by, int begin) {
    Time sum = 0;
    std::vector<int> links;
    for (int at = begin;;) {
      const Arc& arc = all[static_cast<std::size_t>(by[static_cast<std::size_t>(at)])];
      sum += arc.length;
      if (arc.constraint >= 0) links.push_back(arc.constraint);
      at = arc.from;
      if (at == begin) break;
    }
    std::reverse(links.begin(), links.end());
    add("schedule-circle", {},
        fmt::format("the links below go round in a circle that asks for {} more than there is",
                    in_words(Duration(sum))));
    for (const int link : links) found_.push_back(work_.constraints[static_cast<std::size_t>(link)].reason);
  }

  const plan::Work& work_;
  ShopHours hours_;
  std::vector<plan::Reason> found_;
};

}  // namespace

std::vector<plan::Reason> faults(const plan::Work& work) {
  return Inspection(work).all();
}

}  // namespace handlot::schedule
