#include "schedule/bounds.h"

#include <algorithm>
#include <cassert>
#include <functional>

#include "schedule/reach.h"
#include "schedule/shop_hours.h"
#include "schedule/sizes.h"
#include "schedule/step_load.h"
#include "schedule/tasks.h"

namespace handlot::schedule {

namespace {

using plan::Edge;
using plan::Scope;

std::size_t at(int i) {
  return static_cast<std::size_t>(i);
}

/// What every schedule keeps, step by step, if it is to be done by a finish that is only tried.
class Outline {
 public:
  explicit Outline(const plan::Work& work)
      : work_(work), hours_(work.hours, work.start), steps_(work.steps.size()) {
    for (const plan::Resource& r : work.resources) people_ += r.kind == plan::Resource::Kind::person ? 1 : 0;
    people_ = std::max(people_, 1);
    const Reach reach(work);
    const std::vector<SizeChoice> choices = size_choices(work);
    for (std::size_t s = 0; s < steps_; ++s) {
      sizes_.push_back(choices[s].possible);
      loads_.push_back(step_load(work.steps[s].timing, work.units, sizes_.back()));
    }
    for (const plan::Constraint& c : work.constraints) {
      links_.push_back({&c, reach.number(c.from.step), reach.number(c.to.step)});
    }
    for (const plan::LookFirst& l : work.looks) {
      if (work.units > 1) looks_.push_back({at(reach.number(l.look)), at(reach.number(l.repeat))});
    }
    forward();
  }

  std::size_t steps() const { return steps_; }
  const ShopHours& hours() const { return hours_; }
  int people() const { return people_; }
  const StepLoad& load(std::size_t s) const { return loads_[s]; }
  const std::vector<int>& sizes(std::size_t s) const { return sizes_[s]; }
  Time head(std::size_t s) const { return first_start_[s]; }

  /// The last end that any step's last unit needs: no finish is sooner.
  Time path() const {
    Time finish = 0;
    for (const Time end : last_end_) finish = std::max(finish, end);
    return finish;
  }

  /// Latest ends if all is done by `finish`; false if some step cannot.
  bool backward(Time finish, std::vector<Time>& latest_end, std::vector<Time>& latest_hands) const {
    std::vector<Time> end(steps_, finish), start(steps_, kNever), first(steps_, kNever);
    for (std::size_t round = 0; round <= 2 * steps_ + 2; ++round) {
      bool moved = false;
      for (std::size_t s = steps_; s-- > 0;) moved = tighten_back(s, end, start, first) || moved;
      for (const Outlink& link : links_) moved = back_over(link, end, start, first) || moved;
      for (std::size_t s = 0; s < steps_; ++s) {
        if (start[s] < first_start_[s] || first[s] < first_start_[s]) return false;
      }
      if (!moved) break;
    }
    latest_end = end;
    latest_hands.resize(steps_);
    for (std::size_t s = 0; s < steps_; ++s) latest_hands[s] = end[s] - loads_[s].shortest_alone;
    return true;
  }

 private:
  struct Outlink {
    const plan::Constraint* constraint;
    int from;
    int to;
  };

  const plan::Timing& timing(std::size_t s) const { return work_.steps[s].timing; }

  Time end_after(std::size_t s, Time start) const {
    return hours_.end_of(start, loads_[s].shortest_hands, timing(s).may_pause) + loads_[s].shortest_alone;
  }

  static bool raise(Time& value, Time to) {
    if (to <= value) return false;
    value = to;
    return true;
  }
  static bool lower(Time& value, Time to) {
    if (to >= value) return false;
    value = to;
    return true;
  }

  /// The lot's hands share the people there are.
  Time shared(std::size_t s) const { return (loads_[s].total_hands + people_ - 1) / people_; }

  void forward() {
    first_start_.assign(steps_, 0);
    last_start_.assign(steps_, 0);
    last_end_.assign(steps_, 0);
    for (std::size_t round = 0; round <= 4 * steps_ + 4; ++round) {
      bool moved = false;
      for (std::size_t s = 0; s < steps_; ++s) moved = tighten(s) || moved;
      for (const Outlink& link : links_) moved = over(link) || moved;
      for (const auto& [look, repeat] : looks_) moved = raise(last_start_[repeat], end_after(look, first_start_[look])) || moved;
      if (!moved) return;
    }
  }

  bool tighten(std::size_t s) {
    const bool pause = timing(s).may_pause;
    bool moved = raise(first_start_[s], hours_.start_from(first_start_[s], loads_[s].shortest_hands, pause));
    moved = raise(last_start_[s], hours_.start_from(std::max(last_start_[s], first_start_[s]),
                                                    loads_[s].shortest_hands, pause)) ||
            moved;
    Time end = end_after(s, last_start_[s]);
    if (shared(s) > 0) {
      const Time begin = hours_.start_from(first_start_[s], 1, true);
      end = std::max(end, hours_.end_of(begin, shared(s), true) + loads_[s].shortest_alone);
    }
    return raise(last_end_[s], std::min(end, kNever)) || moved;
  }

  bool over(const Outlink& link) {
    const plan::Constraint& c = *link.constraint;
    const auto from = at(link.from), to = at(link.to);
    const Time first = c.from.edge == Edge::start ? first_start_[from] : end_after(from, first_start_[from]);
    const Time last = c.from.edge == Edge::start ? last_start_[from] : last_end_[from];
    bool moved = false;
    if (c.to.edge == Edge::start) {
      moved = raise(first_start_[to], (c.scope == Scope::lot ? last : first) + c.min.seconds);
      moved = raise(last_start_[to], last + c.min.seconds) || moved;
    } else {
      moved = raise(last_end_[to], last + c.min.seconds);
    }
    if (c.max && c.from.edge == Edge::start) {
      const Time until = c.to.edge == Edge::start ? first_start_[to] : end_after(to, first_start_[to]);
      moved = raise(first_start_[from], until - c.max->seconds) || moved;
    }
    return moved;
  }

  bool tighten_back(std::size_t s, std::vector<Time>& end, std::vector<Time>& start,
                    std::vector<Time>& first) const {
    const bool pause = timing(s).may_pause;
    const Time hands = end[s] - loads_[s].shortest_alone;
    bool moved = lower(start[s], hours_.start_for_end(hands, loads_[s].shortest_hands, pause));
    moved = lower(first[s], start[s]) || moved;
    return lower(first[s], hours_.start_for_end(hands, shared(s), true)) || moved;
  }

  bool back_over(const Outlink& link, std::vector<Time>& end, std::vector<Time>& start,
                 std::vector<Time>& first) const {
    const plan::Constraint& c = *link.constraint;
    const auto from = at(link.from), to = at(link.to);
    const Time any = c.to.edge == Edge::start ? start[to] : end[to];
    const Time soonest = c.to.edge == Edge::start ? first[to] : end[to];
    const Time limit = (c.scope == Scope::lot ? soonest : any) - c.min.seconds;
    if (c.from.edge == Edge::end) return lower(end[from], limit);
    bool moved = lower(start[from], limit);
    return lower(first[from], soonest - c.min.seconds) || moved;
  }

  const plan::Work& work_;
  ShopHours hours_;
  std::size_t steps_;
  int people_ = 0;
  std::vector<std::vector<int>> sizes_;
  std::vector<StepLoad> loads_;
  std::vector<Outlink> links_;
  std::vector<std::pair<std::size_t, std::size_t>> looks_;  ///< look, repeat
  std::vector<Time> first_start_, last_start_, last_end_;
};

/// Load that must lie in [head, until]; `room` says how much fits there.
struct Portion {
  Time head;
  Time until;
  Time load;
};

bool overfull(const std::vector<Portion>& portions, const std::function<Time(Time, Time)>& room) {
  for (const Portion& left : portions) {
    std::vector<Portion> inside;
    for (const Portion& p : portions) {
      if (p.head >= left.head && p.load > 0) inside.push_back(p);
    }
    std::sort(inside.begin(), inside.end(),
              [](const Portion& a, const Portion& b) { return a.until < b.until; });
    Time sum = 0;
    for (const Portion& p : inside) {
      sum += p.load;
      if (sum > room(left.head, p.until)) return true;
    }
  }
  return false;
}

/// The first finish in [from, to] that `refuted` does not refute; `to` if all are.
Time first_open(Time from, Time to, const std::function<bool(Time)>& refuted) {
  while (from < to) {
    const Time middle = from + (to - from) / 2;
    if (refuted(middle)) {
      from = middle + 1;
    } else {
      to = middle;
    }
  }
  return from;
}

class Loads {
 public:
  Loads(const plan::Work& work, const Outline& outline) : work_(work), outline_(outline) {}

  bool hands_refute(Time finish) const {
    std::vector<Time> end, hands;
    if (!outline_.backward(finish, end, hands)) return true;
    std::vector<Portion> portions;
    for (std::size_t s = 0; s < outline_.steps(); ++s) {
      portions.push_back({outline_.head(s), hands[s], outline_.load(s).total_hands});
    }
    return overfull(portions,
                    [&](Time a, Time b) { return outline_.people() * outline_.hours().open_between(a, b); });
  }

  bool station_refutes(const plan::Resource& resource, Time finish) const {
    std::vector<Time> end, hands;
    if (!outline_.backward(finish, end, hands)) return true;
    std::vector<Portion> portions;
    for (std::size_t s = 0; s < outline_.steps(); ++s) {
      add_portions(resource, s, end[s], portions);
      const Time needed = rounds(resource, s);
      if (needed > 0 && needed > end[s] - std::max(outline_.head(s), hot_from(resource))) return true;
    }
    return overfull(portions, [&](Time a, Time b) { return resource.capacity * std::max<Time>(0, b - a); });
  }

 private:
  /// No use of it begins sooner.
  Time hot_from(const plan::Resource& resource) const {
    const bool still_warm = resource.used_until && *resource.used_until + resource.stays_warm >= work_.start;
    return still_warm ? 0 : resource.warm_up.seconds;
  }

  /// Time for one step alone, in rounds of as many units as there are places for.
  Time rounds(const plan::Resource& resource, std::size_t s) const {
    Time most = 0;
    for (const plan::Use& use : work_.steps[s].timing.uses) {
      const bool each = use.per_unit || resource.together;
      if (use.resource != resource.id || !each || use.count == 0) continue;
      const Time places = resource.capacity / use.count;
      const Time count = (work_.units + places - 1) / places;
      // The last round's units may still be held when the step's end is due.
      most = std::max(most, count * outline_.load(s).shortest + (count - 1) * use.hold_after_end.seconds);
    }
    return most;
  }

  void add_portions(const plan::Resource& resource, std::size_t s, Time end,
                    std::vector<Portion>& out) const {
    const plan::Timing& t = work_.steps[s].timing;
    for (const plan::Use& use : t.uses) {
      if (use.resource != resource.id) continue;
      Time least = kNever;
      for (const int size : outline_.sizes(s)) {
        Time sum = 0;
        for (const Run& run : runs_of(t, work_.units, size)) {
          const int count = use.count * (use.per_unit || resource.together ? run.size() : 1);
          sum += count * (hands_of(t, run) + alone_of(t, run) + use.hold_after_end.seconds);
        }
        least = std::min(least, sum);
      }
      const Time head = std::max(outline_.head(s), hot_from(resource));
      out.push_back({head, end + use.hold_after_end.seconds, least});
    }
  }

  const plan::Work& work_;
  const Outline& outline_;
};

}  // namespace

std::vector<LowerBound> lower_bounds(const plan::Work& work) {
  if (work.steps.empty()) return {{"longest path", Duration(0)}};
  const Outline outline(work);
  const Loads loads(work, outline);
  Time horizon = outline.hours().spans().empty() ? 0 : outline.hours().spans().back().close;
  for (std::size_t s = 0; s < outline.steps(); ++s)
    horizon += outline.load(s).total_hands + outline.load(s).shortest;
  const Time path = std::min(outline.path(), horizon);
  std::vector<LowerBound> bounds{{"longest path", Duration(path)}};
  const auto add = [&](const std::string& what, const std::function<bool(Time)>& refuted) {
    bounds.push_back({what, Duration(first_open(path, std::max(path, horizon), refuted))});
  };
  add("hands", [&](Time finish) { return loads.hands_refute(finish); });
  for (const plan::Resource& r : work.resources) {
    if (r.kind == plan::Resource::Kind::person) continue;
    add(r.id.text, [&](Time finish) { return loads.station_refutes(r, finish); });
  }
  std::stable_sort(bounds.begin(), bounds.end(),
                   [](const LowerBound& a, const LowerBound& b) { return a.makespan > b.makespan; });
  return bounds;
}

bool no_sooner_than(const plan::Work& work, Time finish) {
  if (work.steps.empty()) return finish <= 0;
  const Outline outline(work);
  const Loads loads(work, outline);
  if (outline.path() >= finish || loads.hands_refute(finish - 1)) return true;
  return std::any_of(work.resources.begin(), work.resources.end(), [&](const plan::Resource& r) {
    return r.kind != plan::Resource::Kind::person && loads.station_refutes(r, finish - 1);
  });
}

}  // namespace handlot::schedule
