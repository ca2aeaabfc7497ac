#include "brute_force.h"

#include <algorithm>

#include "schedule/check.h"

namespace handlot::schedule::samples {

using namespace plan;

namespace {

struct Op {
  int step = 0;
  int first = 1;
  int last = 1;
  std::int64_t start = 0, hands_end = 0, end = 0, hands = 0;
  int person = -1;  ///< number among the resources
};

class Search {
 public:
  Search(const Work& work, std::int64_t finish, int setups, std::int64_t nodes)
      : work_(work), finish_(finish), setups_(setups), nodes_(nodes) {}

  Found run() {
    sizes_.assign(work_.steps.size(), 1);
    cut(0);
    found_.gave_up = found_.gave_up && !found_.found;
    return found_;
  }

 private:
  const Timing& timing(int step) const { return work_.steps[static_cast<std::size_t>(step)].timing; }
  bool over() const { return found_.found || found_.gave_up; }

  void cut(std::size_t step) {
    if (over()) return;
    if (step == work_.steps.size()) {
      ops_.clear();
      for (std::size_t s = 0; s < work_.steps.size(); ++s) add_runs(static_cast<int>(s));
      placed_ = 0;
      return place();
    }
    // Every size from 1 to the lot; check() knows which are allowed.
    const int most = work_.steps[step].timing.whole_lot ? 1 : work_.units;
    const Timing& t = work_.steps[step].timing;
    const int largest = t.batch_max > 0 ? std::min(t.batch_max, most) : most;
    int least = work_.units;
    for (int size = std::min(t.batch_min, largest); size <= largest; ++size) least = std::min(least, falls_short(t, size));
    for (int size = 1; size <= most; ++size) {
      if (size >= t.batch_min && size <= largest && falls_short(t, size) > least) continue;
      sizes_[step] = size;
      cut(step + 1);
    }
  }

  /// Runs of one size, the last what is left over; its sub-batches after `alone` units.
  int last_of(int alone, int size, bool joined) const {
    int left = work_.units - (joined ? std::min(size, work_.units) : alone);
    if (joined && left == 0) left = work_.units - alone;
    while (left > size) left -= size;
    return left;
  }

  /// As many runs with no two that differ by more than one unit, where the last would be too small otherwise and these are not.
  std::vector<int> equal_sizes(const Timing& t, int size) const {
    const int alone = t.first_piece || t.first_alone ? 1 : 0, rest = work_.units - alone, runs = (rest + size - 1) / size;
    const bool joined = alone == 1 && size > 1 && (work_.units - 2) / size == (work_.units - 1) / size;
    if (runs < 2 || last_of(alone, size, joined) >= t.batch_min) return {};
    std::vector<int> sizes(static_cast<std::size_t>(runs), 0);
    for (int unit = 0; unit < rest; ++unit) ++sizes[static_cast<std::size_t>(unit % runs)];
    return sizes.back() < t.batch_min || sizes.front() != size ? std::vector<int>{} : sizes;
  }

  /// Units that the last sub-batch has less than is allowed.
  int falls_short(const Timing& t, int size) const {
    const int alone = t.first_piece || t.first_alone ? 1 : 0;
    if (t.whole_lot || work_.units == 1) return 0;
    const bool joined = alone == 1 && size > 1 && (work_.units - 2) / size == (work_.units - 1) / size;
    const std::vector<int> equal = equal_sizes(t, size);
    return std::max(0, t.batch_min - (equal.empty() ? last_of(alone, size, joined) : equal.back()));
  }

  void add_runs(int step) {
    const Timing& t = timing(step);
    const std::vector<int> equal = equal_sizes(t, sizes_[static_cast<std::size_t>(step)]);
    std::size_t number = 0;
    int next = 1;
    while (next <= work_.units) {
      const int size = sizes_[static_cast<std::size_t>(step)];
      int last = std::min(work_.units, next + size - 1);
      // Together with the first piece a sub-batch, unless the lot comes out with one run fewer otherwise.
      if ((t.first_piece || t.first_alone) && next == 2 && size > 1 && (work_.units - 2) / size == (work_.units - 1) / size) last = std::min(work_.units, size);
      if (t.whole_lot) last = work_.units;
      const bool first = (t.first_piece || t.first_alone) && !t.whole_lot && next == 1;
      if (!equal.empty() && !t.whole_lot && !first) last = next + equal[number++] - 1;
      if (first) last = 1;
      ops_.push_back({step, next, last, 0, 0, 0, 0, -1});
      next = last + 1;
    }
  }

  bool open(std::int64_t second) const {
    return std::any_of(work_.hours.begin(), work_.hours.end(), [&](const Interval& i) {
      return i.open.seconds - work_.start.seconds <= second && second < i.close.seconds - work_.start.seconds;
    });
  }

  /// Hands from `start` second by second; false if they do not fit. Those of `person` rest while they are away, if they may.
  bool lay(Op& op, std::int64_t start, std::int64_t change, const Resource* person) const {
    const Timing& t = timing(op.step);
    const std::int64_t run = t.run.seconds * (t.run_per_unit ? op.last - op.first + 1 : 1);
    op.hands = change + t.setup.seconds + (t.hands_on ? run : 0) +
               (t.first_piece && op.first == 1 ? t.first_piece_check.seconds : 0);
    op.start = start;
    std::int64_t now = start, left = op.hands;
    const auto there = [&](std::int64_t second) { return open(second) && (person == nullptr || !is_away(*person, second)); };
    if (left > 0 && !there(now)) return false;
    while (left > 0) {
      if (there(now)) {
        --left;
      } else if (!t.may_pause) {
        return false;
      }
      if (++now > finish_) return false;
    }
    op.hands_end = now;
    op.end = now + (t.hands_on ? 0 : run) + t.unattended.seconds;
    return op.end <= finish_;
  }

  static std::int64_t event(const Op& op, Edge edge) { return edge == Edge::start ? op.start : op.end; }

  bool link_kept(const Constraint& c, const Op& from, const Op& to) const {
    const bool share = from.first <= to.last && to.first <= from.last;
    if (c.scope == Scope::unit && !share) return true;
    const std::int64_t lag = event(to, c.to.edge) - event(from, c.from.edge);
    if (lag < c.min.seconds || (c.max && lag > c.max->seconds)) return false;
    for (int left = from.first; c.max && left <= from.last; ++left) {
      for (int taken = to.first; taken <= to.last; ++taken) {
        if (c.scope == Scope::unit && left != taken) continue;
        if (own_event(to, c.to.edge, taken) - own_event(from, c.from.edge, left) > c.max->seconds) return false;
      }
    }
    return true;
  }

  /// The unit's own: with hands on one unit after another, it is begun when those before it are done.
  std::int64_t own_event(const Op& op, Edge edge, int unit) const {
    const Timing& t = timing(op.step);
    if (!t.hands_on || !t.run_per_unit) return event(op, edge);
    if (edge == Edge::start) return op.start + t.run.seconds * (unit - op.first);
    return op.end - (t.unattended.seconds > 0 ? 0 : t.run.seconds * (op.last - unit));
  }

  /// Against one operation placed before.
  bool fits(const Op& a, const Op& b) const {
    if (a.person >= 0 && a.person == b.person && a.start < b.hands_end && b.start < a.hands_end) return false;
    if (a.step == b.step && (a.first < b.first ? b.start < a.start : a.start < b.start)) return false;
    for (const Constraint& c : work_.constraints) {
      const StepId& sa = work_.steps[static_cast<std::size_t>(a.step)].id;
      const StepId& sb = work_.steps[static_cast<std::size_t>(b.step)].id;
      if (c.from.step == sa && c.to.step == sb && !link_kept(c, a, b)) return false;
      if (c.from.step == sb && c.to.step == sa && !link_kept(c, b, a)) return false;
    }
    return looked_first(a, b) && looked_first(b, a);
  }

  /// No other unit is begun before unit 1 was looked at.
  bool looked_first(const Op& look, const Op& repeat) const {
    for (const LookFirst& l : work_.looks) {
      const bool these = l.look == work_.steps[static_cast<std::size_t>(look.step)].id && l.repeat == work_.steps[static_cast<std::size_t>(repeat.step)].id;
      if (these && look.first == 1 && repeat.last > 1 && repeat.start < look.end) return false;
    }
    return true;
  }

  /// Links go from steps listed before: what it may follow at night stands already.
  bool begun_by_somebody(const Op& op) const {
    const Timing& t = timing(op.step);
    if (op.hands > 0 || op.end == op.start || t.at_start || t.by_itself || work_.hours.empty()) return true;
    if (open(op.start) || (op.start > 0 && open(op.start - 1))) return true;
    for (std::size_t i = 0; i < placed_; ++i) {
      if (ops_[i].end == op.start && leads_on(ops_[i], op)) return true;
    }
    return false;
  }

  /// A link from the end of `a` to the start of `b`, and all stations of `b` are those of `a`.
  bool leads_on(const Op& a, const Op& b) const {
    for (const Use& mine : timing(b.step).uses) {
      const auto same = [&](const auto& other) { return other.resource == mine.resource; };
      const auto r = std::find_if(work_.resources.begin(), work_.resources.end(), [&](const Resource& x) { return x.id == mine.resource; });
      if (r->kind == Resource::Kind::station && std::none_of(timing(a.step).uses.begin(), timing(a.step).uses.end(), same)) return false;
    }
    return std::any_of(work_.constraints.begin(), work_.constraints.end(), [&](const Constraint& c) {
      const bool these = c.from.step == work_.steps[static_cast<std::size_t>(a.step)].id && c.to.step == work_.steps[static_cast<std::size_t>(b.step)].id;
      return these && c.from.edge == Edge::end && c.to.edge == Edge::start && (c.scope == Scope::lot || (a.first <= b.last && b.first <= a.last));
    });
  }

  void place() {
    if (over()) return;
    if (placed_ == ops_.size()) return judge();
    Op& op = ops_[placed_];
    std::int64_t most_change = 0;
    if (!timing(op.step).material_family.empty()) {
      for (const Use& use : timing(op.step).uses) {
        for (const Resource& r : work_.resources) {
          if (r.id == use.resource) most_change = std::max(most_change, r.change_over.seconds);
        }
      }
    }
    for (const std::int64_t change : {std::int64_t{0}, most_change}) {
      for (std::int64_t start = 0; start <= (timing(op.step).at_start ? 0 : finish_); ++start) {
        if (lay(op, start, change, nullptr)) with_people(op, change);
        if (over()) return;
      }
      if (most_change == 0) return;
    }
  }

  bool is_away(const Resource& person, std::int64_t second) const {
    return std::any_of(person.away.begin(), person.away.end(), [&](const Interval& a) { return a.open.seconds - work_.start.seconds <= second && second < a.close.seconds - work_.start.seconds; });
  }

  /// Some second of the hands, from the first to the last, is one of absence.
  bool away(const Resource& person, const Op& op) const {
    for (std::int64_t second = op.start; second < op.hands_end; ++second) {
      if (is_away(person, second)) return true;
    }
    return false;
  }

  void with_people(Op& op, std::int64_t change) {
    if (op.hands == 0) {
      op.person = -1;
      return next(op);
    }
    for (std::size_t r = 0; r < work_.resources.size(); ++r) {
      if (work_.resources[r].kind != Resource::Kind::person) continue;
      if (timing(op.step).may_pause ? !lay(op, op.start, change, &work_.resources[r]) : away(work_.resources[r], op)) continue;
      op.person = static_cast<int>(r);
      next(op);
    }
  }

  void next(const Op& op) {
    if (over()) return;
    if (--nodes_ < 0) {
      found_.gave_up = true;
      return;
    }
    for (std::size_t i = 0; i < placed_; ++i) {
      if (!fits(op, ops_[i])) return;
    }
    if (!begun_by_somebody(op)) return;
    const Op kept = op;
    ++placed_;
    place();
    --placed_;
    ops_[placed_] = kept;
  }

  void judge() {
    Schedule s;
    s.status = Schedule::Status::feasible;
    s.start = s.finish = work_.start;
    for (const Op& op : ops_) {
      Operation made;
      made.step = work_.steps[static_cast<std::size_t>(op.step)].id;
      made.first_unit = op.first;
      made.last_unit = op.last;
      made.start = work_.start + Duration(op.start);
      made.hands_end = work_.start + Duration(op.hands_end);
      made.end = work_.start + Duration(op.end);
      made.hands_on = Duration(op.hands);
      if (op.person >= 0) made.people = {work_.resources[static_cast<std::size_t>(op.person)].id};
      s.finish = std::max(s.finish, made.end);
      s.hands_on += made.hands_on;
      s.operations.push_back(made);
    }
    s.makespan = s.finish - s.start;
    // check() says whether the number of set-ups is right; try those that are allowed.
    for (s.setups = 0; s.setups <= std::min<int>(setups_, static_cast<int>(2 * ops_.size())); ++s.setups) {
      const auto findings = check(work_, s);
      if (findings.empty()) {
        found_.found = true;
        found_.schedule = s;
        return;
      }
      const bool only_sums = std::all_of(findings.begin(), findings.end(),
                                         [](const Finding& f) { return f.rule.text == "schedule-sums"; });
      if (!only_sums) return;
    }
  }

  const Work& work_;
  std::int64_t finish_;
  int setups_;
  std::int64_t nodes_;
  std::vector<int> sizes_;
  std::vector<Op> ops_;
  std::size_t placed_ = 0;
  Found found_;
};

}  // namespace

Found any_by(const Work& work, std::int64_t finish, int setups, std::int64_t nodes) {
  return Search(work, finish, setups, nodes).run();
}

}  // namespace handlot::schedule::samples
