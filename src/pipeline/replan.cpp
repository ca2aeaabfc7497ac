#include "pipeline/replan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <optional>
#include <tuple>
#include <utility>

#include "core/cpu_time.h"
#include "core/text.h"
#include "pipeline/late_clocks.h"
#include "pipeline/make_plan.h"
#include "pipeline/parts_of_plan.h"
#include "plan/find.h"
#include "plan/units.h"
#include "schedule/check.h"
#include "schedule/solve.h"

namespace handlot::pipeline {

namespace {

// What is left is scheduled as a lot of one, in which every sub-batch that is left is a step of its own: units may
// stand at different places, and the schedule knows only steps and links.

class Rest {
 public:
  Rest(const plan::Plan& plan, const Progress& progress, double seconds)
      : plan_(plan), progress_(progress), lot_(plan, progress), clocks_(plan, progress, lot_), seconds_(seconds) {}

  Result<plan::Plan> run() {
    while (clocks_.spoil_the_dead()) {
    }
    for (;;) {
      auto next = settled();
      if (!next) return next;
      if (clocks_.spoil_the_first_late(next->schedule)) continue;
      clocks_.name(next->schedule);
      next->head.hash = hash_of(*next);
      return next;
    }
  }

 private:
  Result<plan::Plan> settled() {
    pieces_.clear();
    cut();
    if (pieces_.empty()) return fail(error("replan-nothing-left", {}, "every unit is finished or scrapped", "begin a new lot"));
    auto next = scheduled();
    if (!next || seconds_left() <= 0 || !split_off()) return next;
    // Good units need not wait for one that is done again; nor need that one cost an oven run of its own.
    auto apart = scheduled();
    return apart && better(apart->schedule, next->schedule) ? std::move(apart) : std::move(next);
  }

  double seconds_left() const { return seconds_ - (cpu_seconds() - begun_); }

  /// Half of what is left for every try, so that the later ones have some too.
  double share() const { return std::max(seconds_left() / 2, seconds_ / 16); }

  Result<plan::Plan> scheduled() {
    plan::Plan next = plan_;
    for (const auto& [latest, looks] :
         {std::pair(Latest::kept, true), {Latest::kept, false}, {Latest::at_opening, true}, {Latest::at_opening, false}, {Latest::passed_let_go, true}, {Latest::passed_let_go, false},
          {Latest::spoiling_kept, true}, {Latest::spoiling_kept, false}, {Latest::given_up, true}, {Latest::given_up, false}}) {
      if ((!looks && plan_.work.looks.empty()) || (latest == Latest::at_opening && lot_.opening() == progress_.now)) continue;
      latest_ = latest;
      plan::Work work = work_of_rest();
      if (looks) add_looks(work);
      schedule::Limits limits;
      limits.seconds = share();
      limits.conflicts = Limits{}.schedule_effort;
      limits.gap = Limits{}.schedule_gap;
      limits.raises = Limits{}.schedule_raises;
      limits.placements = Limits{}.schedule_tries * static_cast<std::int64_t>(work.steps.size());
      limits.costs = limits.reliefs = false;
      limits.spare = latest == Latest::kept;
      plan::Schedule rest = schedule::solve(work, limits, 1, {});
      if (const auto breaches = schedule::check(work, rest); !breaches.empty())
        return fail(error("replan-breach", {}, breaches.front().message, "this is a fault of handlot and not of the record: keep to the old plan, and report it with job and record"));
      next.schedule = back_in_units(std::move(rest));
      if (next.schedule.status != plan::Schedule::Status::infeasible) break;
    }
    return next;
  }

  /// Keeps more clocks, ends sooner, or has the units further on the whole.
  bool better(const plan::Schedule& a, const plan::Schedule& b) const {
    const auto ends = [](const plan::Schedule& s) {
      std::int64_t sum = 0;
      for (const plan::Operation& o : s.operations) sum += (o.end - s.start).seconds * static_cast<std::int64_t>(plan::units_in(o).size());
      return sum;
    };
    const auto found = [](const plan::Schedule& s) { return s.status != plan::Schedule::Status::infeasible && !s.operations.empty(); };
    if (found(a) != found(b)) return found(a);
    return std::tuple(clocks_.late_in(a).size(), a.finish, ends(a)) < std::tuple(clocks_.late_in(b).size(), b.finish, ends(b));
  }

  /// Units that are done again go alone, where they went with others. False: there are none.
  bool split_off() {
    std::vector<Piece> all;
    std::swap(all, pieces_);
    for (const Piece& piece : all) {
      Piece run{piece.step, {}, {}};
      for (const int unit : piece.units) {
        if (!run.units.empty() && lot_.fell_back(*piece.step, unit) != lot_.fell_back(*piece.step, run.units.back())) add_piece(std::exchange(run, {piece.step, {}, {}}));
        run.units.push_back(unit);
      }
      add_piece(std::move(run));
    }
    return pieces_.size() > all.size();
  }

  /// The sub-batches of the schedule, less the units that are done or gone. A step whose units got apart is cut where
  /// they did.
  void cut() {
    for (const plan::Operation& op : plan_.schedule.operations) {
      const plan::Step* step = lot_.step_of(op.step);
      if (step == nullptr) continue;
      Piece piece{step, {}, {}};
      for (const int unit : plan::units_in(op)) {
        if (!progress_.scrapped.contains(unit) && !lot_.is_done(op.step, unit)) piece.units.push_back(unit);
      }
      if (piece.units.empty()) continue;
      if (const int first = first_to_look(*step); piece.units.size() > 1 && piece.units.front() == first) {
        add_piece({step, {first}, {}});
        piece.units.erase(piece.units.begin());
      }
      add_piece(std::move(piece));
    }
  }

  void add_piece(Piece piece) {
    piece.id = StepId(fmt::format("{}@{}-{}", piece.step->id.text, piece.units.front(), piece.units.back()));
    pieces_.push_back(std::move(piece));
  }

  /// The unit that is to be looked at before the others follow: the one that has gone through already, or the first that is
  /// left. 0 where one was looked at.
  int first_for(const plan::LookFirst& look) const {
    int first = 0, gone = 0;
    for (int unit = plan_.work.units; unit >= 1; --unit) {
      if (progress_.scrapped.contains(unit)) continue;
      if (lot_.is_done(look.look, unit)) return 0;
      first = unit;
      if (lot_.is_done(look.repeat, unit)) gone = unit;
    }
    return gone > 0 ? gone : first;
  }

  /// The same where the step is one that it goes through alone.
  int first_to_look(const plan::Step& step) const {
    for (const plan::LookFirst& look : plan_.work.looks) {
      if (look.repeat == step.id || look.look == step.id || (step.timing.first_alone && lot_.before(step.id, look.look))) return first_for(look);
    }
    return 0;
  }

  void add_looks(plan::Work& work) const {
    for (const plan::LookFirst& look : plan_.work.looks) {
      const int first = first_for(look);
      const auto seen = std::find_if(pieces_.begin(), pieces_.end(), [&](const Piece& p) { return p.step->id == look.look && p.units.front() == first; });
      if (first == 0 || seen == pieces_.end()) continue;
      for (const Piece& piece : pieces_) {
        if (piece.step->id != look.repeat || piece.units.front() == first) continue;
        plan::Constraint c;
        c.from = {seen->id, plan::Edge::end};
        c.to = {piece.id, plan::Edge::start};
        c.reason = look.reason;
        work.constraints.push_back(std::move(c));
      }
    }
  }

  /// What needs no hands and follows something that still runs begins by itself when that is over.
  bool runs_on_by_itself(const plan::Constraint& link, const Piece& to, const Done& before) const {
    return before.end > progress_.now && link.from.edge == plan::Edge::end && link.to.edge == plan::Edge::start && link.min.seconds <= 0 &&
           !needs_hands(to.step->timing);
  }

  plan::Work work_of_rest() {
    plan::Work work;
    work.units = 1;
    work.start = progress_.now;
    work.resources = plan_.work.resources;
    if (!progress_.hours.empty()) {
      for (plan::Resource& r : work.resources) {
        const auto own = progress_.absences.find(r.id);
        r.away = own == progress_.absences.end() ? std::vector<plan::Interval>{} : own->second;
      }
    }
    for (const plan::Interval& open : lot_.hours()) {
      if (open.close > progress_.now) work.hours.push_back({std::max(open.open, progress_.now), open.close});
    }
    plan::Step now;
    now.id = StepId("now@");
    now.title = "now";
    now.timing.whole_lot = true;
    now.timing.hands_on = false;
    now.timing.at_start = true;
    work.steps.push_back(now);
    for (const Piece& piece : pieces_) work.steps.push_back(as_step(piece));
    for (const plan::Constraint& link : plan_.work.constraints) {
      add_links(link, work);
    }
    for (const plan::NeverTogether& apart : plan_.work.apart) {
      add_apart(apart, work);
      clear_first(apart.a, apart.clear_after_a, apart.b, apart.reason, work);
      clear_first(apart.b, apart.clear_after_b, apart.a, apart.reason, work);
    }
    for (const auto& [resource, away] : progress_.away) keep_away(resource, away, fmt::format("'{}' is not to be had before", called(resource)), work);
    keep_away_people(work);
    keep_calendar(work);
    keep_held(work);
    remember_heat(work);
    wait_for_hands(work);
    keep_sequence(work);
    return work;
  }

  plan::Step as_step(const Piece& piece) const {
    plan::Step step = *piece.step;
    step.id = piece.id;
    plan::Timing& t = step.timing;
    const Duration run = lot_.run_time(*piece.step);
    const auto count = static_cast<std::int64_t>(piece.units.size());
    t.run = t.run_per_unit ? run * count : run;
    t.run_per_unit = false;
    t.first_piece = t.first_alone = false;
    t.batch_min = 1;
    t.batch_max = 1;
    t.whole_lot = true;
    for (plan::Use& use : t.uses) {
      if (use.per_unit) use.count *= static_cast<int>(count);
      use.per_unit = false;
      use.until_start_of = held_until(use, piece);
    }
    return step;
  }

  /// What a latest end between two pieces loses, so that each unit keeps it by its own time.
  Duration own_time_loss(const plan::Constraint& link, const Piece& from, const Piece& to) const {
    Duration most{0};
    for (std::size_t a = 0; a < from.units.size(); ++a) {
      for (std::size_t b = 0; b < to.units.size(); ++b) {
        if (link.scope == plan::Scope::unit && from.units[a] != to.units[b]) continue;
        most = std::max(most, lot_.own_offset(to, b, link.to.edge) - lot_.own_offset(from, a, link.from.edge));
      }
    }
    return most;
  }

  /// The same for a unit whose first event is done.
  Duration own_time_loss(const plan::Constraint& link, int unit, const Piece& to) const {
    Duration most{0};
    for (std::size_t b = 0; b < to.units.size(); ++b) {
      if (link.scope == plan::Scope::lot || to.units[b] == unit) most = std::max(most, lot_.own_offset(to, b, link.to.edge));
    }
    return most;
  }

  /// The last of the pieces that the fixture is held for; none when that step is done.
  std::optional<StepId> held_until(const plan::Use& use, const Piece& piece) const {
    if (!use.until_start_of) return std::nullopt;
    std::optional<StepId> last;
    for (const Piece& other : pieces_) {
      if (other.step->id == *use.until_start_of && meet(piece, other)) last = other.id;
    }
    return last;
  }

  static bool meet(const Piece& a, const Piece& b) {
    if (a.step->timing.whole_lot || b.step->timing.whole_lot) return true;
    return std::any_of(a.units.begin(), a.units.end(), [&](int u) { return std::find(b.units.begin(), b.units.end(), u) != b.units.end(); });
  }

  void add_links(const plan::Constraint& link, plan::Work& work) const {
    for (const Piece& to : pieces_) {
      if (to.step->id != link.to.step || !lot_.counts(link, to)) continue;
      for (const Piece& from : pieces_) {
        if (from.step->id != link.from.step || (link.scope == plan::Scope::unit && !meet(from, to))) continue;
        plan::Constraint c = link;
        c.from.step = from.id;
        c.to.step = to.id;
        c.scope = plan::Scope::unit;
        // Pieces are not cut anew: where these hands are too slow for them, the next is taken up as soon as can be.
        if (c.max) c.max = std::max({Duration(0), c.min, *c.max - own_time_loss(link, from, to)});
        work.constraints.push_back(std::move(c));
      }
      add_release(link, to, work);
    }
  }

  /// What is done already makes the rest wait from then, not from now.
  void add_release(const plan::Constraint& link, const Piece& to, plan::Work& work) const {
    for (const auto& [key, done] : lot_.done()) {
      if (key.first != link.from.step) continue;
      const plan::Step* from = lot_.step_of(key.first);
      // A step for the whole lot counts for each unit by itself: it may be to be done again for some.
      const bool for_all = (link.scope == plan::Scope::lot || to.step->timing.whole_lot) && !(from != nullptr && from->timing.whole_lot);
      const bool same = for_all || std::find(to.units.begin(), to.units.end(), key.second) != to.units.end();
      if (!same || progress_.scrapped.contains(key.second)) continue;
      if (runs_on_by_itself(link, to, done)) {
        const auto step = std::find_if(work.steps.begin(), work.steps.end(), [&](const plan::Step& s) { return s.id == to.id; });
        step->timing.by_itself = true;
      }
      const Instant began = link.from.edge == plan::Edge::start ? done.start : done.end;
      const Duration gone = progress_.now - began;
      plan::Constraint c = link;
      c.from = {StepId("now@"), plan::Edge::start};
      c.to.step = to.id;
      c.scope = plan::Scope::unit;
      c.min = std::max(Duration(0), link.min - gone);
      c.max.reset();
      if (link.max && !lot_.melted(link, key.second, began)) c.max = latest_end(*link.max - gone - unseen(link, done) - own_time_loss(link, key.second, to), *to.step, spoils(link));
      if (c.max) c.max = std::max(*c.max, c.min);
      if (c.min.seconds == 0 && !c.max) continue;
      work.constraints.push_back(std::move(c));
    }
  }

  void add_apart(const plan::NeverTogether& apart, plan::Work& work) const {
    for (const Piece& a : pieces_) {
      for (const Piece& b : pieces_) {
        if (a.step->id != apart.a || b.step->id != apart.b) continue;
        plan::NeverTogether n = apart;
        n.a = a.id;
        n.b = b.id;
        work.apart.push_back(std::move(n));
      }
    }
  }

  /// When the step was last out on the bench, on whatever unit: a scrapped board heats the oven like any other.
  std::optional<Done> last_out(const StepId& step) const {
    std::optional<Done> last;
    for (const auto* passes : {&progress_.done, &progress_.earlier}) {
      for (const Done& d : *passes) {
        if (d.step == step && (!last || last->end < d.end)) last = d;
      }
    }
    return last;
  }

  /// Vapour that is in the air yet, and a tool that is hot yet, hold up what is never on together with them.
  void clear_first(const StepId& out, Duration clear, const StepId& next, const plan::Reason& reason, plan::Work& work) const {
    const auto last = last_out(out);
    if (!last || out == next || last->end + clear <= progress_.now) return;
    for (const Piece& piece : pieces_) {
      if (piece.step->id != next) continue;
      begin_after(piece.id, last->end + clear - progress_.now, reason.text, work);
      work.constraints.back().reason = reason;
    }
  }

  /// A station that was used a short time ago need not warm up again.
  void remember_heat(plan::Work& work) const {
    for (plan::Resource& station : work.resources) {
      if (station.warm_up.seconds <= 0) continue;
      for (const plan::Step& step : plan_.work.steps) {
        for (const plan::Use& use : step.timing.uses) {
          const auto last = use.resource == station.id ? last_out(step.id) : std::nullopt;
          if (!last) continue;
          const Instant until = last->end + use.hold_after_end + -last->unseen_end;
          station.used_until = std::max(station.used_until.value_or(until), until);
        }
      }
    }
  }

  /// What is left of a latest end, as far as it is kept.
  std::optional<Duration> latest_end(Duration left, const plan::Step& to, bool of_spoilt) const {
    if (latest_ == Latest::given_up || (latest_ == Latest::spoiling_kept && !of_spoilt)) return std::nullopt;
    if (latest_ >= Latest::passed_let_go && left.seconds < 0) return std::nullopt;
    if (latest_ != Latest::kept && needs_somebody(to.timing)) left = std::max(left, lot_.opening() - progress_.now);
    return std::max(Duration(0), left);
  }

  /// What ends by the calendar is over then, whenever its clock is set going here.
  void keep_calendar(plan::Work& work) const {
    for (const plan::Wait& wait : plan_.waits) {
      for (const Piece& piece : pieces_) {
        if (!wait.latest || piece.step->id != wait.to.step) continue;
        const auto left = latest_end(*wait.latest - progress_.now - lot_.own_offset(piece, wait.to.edge == plan::Edge::start ? piece.units.size() - 1 : 0, wait.to.edge), *piece.step, true);
        if (!left) continue;
        begin_after(piece.id, Duration(0), wait.what, work);
        work.constraints.back().to.edge = wait.to.edge;
        work.constraints.back().max = left;
      }
    }
  }

  void keep_away(const ResourceId& resource, Duration away, const std::string& why, plan::Work& work) const {
    for (const Piece& piece : pieces_) {
      const auto& uses = piece.step->timing.uses;
      if (std::any_of(uses.begin(), uses.end(), [&](const plan::Use& u) { return u.resource == resource; })) begin_after(piece.id, away, why, work);
    }
  }

  std::string called(const ResourceId& id) const {
    const plan::Resource* named = plan::find_resource(plan_.work, id);
    return named == nullptr || named->name.empty() ? id.text : named->name;
  }

  bool is_away(const ResourceId& person) const { return progress_.away.contains(person); }

  /// Who may do the step.
  std::vector<ResourceId> people_of(const plan::Step& step) const {
    if (!step.timing.people.empty()) return step.timing.people;
    std::vector<ResourceId> all;
    for (const plan::Resource& r : plan_.work.resources) {
      if (r.kind == plan::Resource::Kind::person) all.push_back(r.id);
    }
    return all;
  }

  /// A step that nobody else may do waits for the first who is back. What others may do falls to them; only a step that
  /// was planned for after the return anyway is left to all.
  void keep_away_people(plan::Work& work) const {
    for (const Piece& piece : pieces_) {
      const auto people = people_of(*piece.step);
      if (!needs_hands(piece.step->timing) || std::none_of(people.begin(), people.end(), [&](const ResourceId& p) { return is_away(p); })) continue;
      std::vector<ResourceId> there;
      std::optional<Duration> first_back, last_back;
      for (const ResourceId& person : people) {
        if (!is_away(person)) {
          there.push_back(person);
          continue;
        }
        const Duration away = progress_.away.at(person);
        first_back = std::min(first_back.value_or(away), away);
        last_back = std::max(last_back.value_or(away), away);
      }
      if (there.empty()) {
        begin_after(piece.id, *first_back, "nobody who may do it is to be had before", work);
      } else if (planned_start(piece) >= progress_.now + *last_back) {
        begin_after(piece.id, *last_back, "it is planned for after that", work);
      } else {
        const auto step = std::find_if(work.steps.begin(), work.steps.end(), [&](const plan::Step& s) { return s.id == piece.id; });
        step->timing.people = there;
      }
    }
  }

  Instant planned_start(const Piece& piece) const {
    for (const plan::Operation& op : plan_.schedule.operations) {
      if (op.step == piece.step->id && plan::takes(op, piece.units.front())) return op.start;
    }
    return plan_.schedule.start;
  }

  static void begin_after(const StepId& step, Duration wait, const std::string& why, plan::Work& work) {
    plan::Constraint c;
    c.from = {StepId("now@"), plan::Edge::start};
    c.to = {step, plan::Edge::start};
    c.min = wait;
    c.reason.text = why;
    work.constraints.push_back(std::move(c));
  }

  /// Units that went through a step together.
  std::map<std::tuple<StepId, Instant, Instant>, std::vector<int>> done_together() const {
    std::map<std::tuple<StepId, Instant, Instant>, std::vector<int>> out;
    for (const auto& [key, done] : lot_.done()) out[{key.first, done.start, done.end}].push_back(key.second);
    return out;
  }

  static StepId held_id(const StepId& step, const std::vector<int>& units) { return StepId(fmt::format("held:{}@{}-{}", step.text, units.front(), units.back())); }

  /// What was done and still holds something stands in the rest as a step that begins now. A station that must be warm,
  /// or is shared from start to end, can't be used beside it: it is away until then.
  void keep_held(plan::Work& work) const {
    std::map<ResourceId, int> left;
    for (const plan::Resource& r : plan_.work.resources) left[r.id] = r.capacity;
    for (const auto& [key, units] : done_together()) {
      const plan::Step* step = lot_.step_of(std::get<0>(key));
      if (step == nullptr) continue;
      plan::Step held;
      held.id = held_id(step->id, units);
      held.title = step->title;
      held.timing.whole_lot = true;
      held.timing.hands_on = false;
      held.timing.by_itself = true;
      const Instant end = std::get<2>(key);
      held.timing.unattended = std::max(Duration(1), end - progress_.now);
      for (const plan::Use& use : step->timing.uses) hold(use, {step, units, held.id}, end, left, held, work);
      if (held.timing.uses.empty()) continue;
      begin_after(held.id, Duration(0), "it has begun", work);
      work.constraints.back().max = Duration(0);
      work.steps.push_back(std::move(held));
    }
  }

  void hold(const plan::Use& use, const Piece& from, Instant end, std::map<ResourceId, int>& left, plan::Step& held, plan::Work& work) const {
    const Instant release = end + use.hold_after_end;
    const auto until = held_until(use, from);
    if (release <= progress_.now && !until) return;
    const plan::Resource* resource = plan::find_resource(plan_.work, use.resource);
    if (resource == nullptr) return;
    if (resource->together || resource->warm_up.seconds > 0) {
      if (release > progress_.now) keep_away(use.resource, release - progress_.now, fmt::format("'{}' is in use until then", called(use.resource)), work);
      return;
    }
    plan::Use now = use;
    now.per_unit = false;
    now.count = std::min(left[use.resource], use.per_unit ? use.count * static_cast<int>(from.units.size()) : use.count);
    now.until_start_of = until;
    now.hold_after_end = std::max(Duration(0), release - std::max(end, progress_.now + Duration(1)));
    if (now.count <= 0) return;
    left[use.resource] -= now.count;
    held.timing.uses.push_back(std::move(now));
  }

  /// One pair of hands ends what it is at first. With more people nobody knows whose they are.
  void wait_for_hands(plan::Work& work) const {
    const auto people = std::count_if(plan_.work.resources.begin(), plan_.work.resources.end(), [](const plan::Resource& r) { return r.kind == plan::Resource::Kind::person; });
    Instant busy = progress_.now;
    for (const auto& [key, done] : lot_.done()) busy = std::max(busy, done.hands_end);
    if (people > 1 || busy == progress_.now) return;
    for (const Piece& piece : pieces_) {
      if (needs_hands(piece.step->timing)) begin_after(piece.id, busy - progress_.now, "hands are busy until then", work);
    }
  }

  /// Sub-batches of one step keep their order; a unit that is done again comes when it comes.
  void keep_sequence(plan::Work& work) const {
    for (std::size_t i = 0; i < pieces_.size(); ++i) {
      for (std::size_t k = i + 1; k < pieces_.size(); ++k) {
        if (pieces_[i].step != pieces_[k].step || lot_.fell_back(*pieces_[i].step, pieces_[i].units.front()) || lot_.fell_back(*pieces_[k].step, pieces_[k].units.front())) continue;
        const bool first = pieces_[i].units.front() < pieces_[k].units.front();
        plan::Constraint c;
        c.from = {first ? pieces_[i].id : pieces_[k].id, plan::Edge::start};
        c.to = {first ? pieces_[k].id : pieces_[i].id, plan::Edge::start};
        c.reason.text = "units are taken in turn";
        work.constraints.push_back(std::move(c));
      }
    }
  }

  /// Pieces are steps to the schedule, each with one unit: "'glue@1-6' of unit 1".
  std::string in_words_of_the_lot(std::string text) const {
    const auto say = [&](const StepId& id, const std::string& words) {
      const std::string named = fmt::format("'{}' of unit 1", id.text);
      for (auto at = text.find(named); at != std::string::npos; at = text.find(named, at + words.size())) text.replace(at, named.size(), words);
    };
    say(StepId("now@"), "now");
    for (const Piece& piece : pieces_) say(piece.id, fmt::format("'{}' of {}", piece.step->id.text, plan::units_in_words(piece.units)));
    for (const auto& [key, units] : done_together()) say(held_id(std::get<0>(key), units), fmt::format("'{}' of {}", std::get<0>(key).text, plan::units_in_words(units)));
    return text;
  }

  plan::Schedule back_in_units(plan::Schedule s) const {
    std::vector<plan::Operation> operations;
    for (const auto& [key, done] : lot_.done()) {
      plan::Operation op;
      op.step = key.first;
      op.first_unit = op.last_unit = key.second;
      op.start = done.start;
      op.end = op.hands_end = done.end;
      op.because = "done";
      operations.push_back(std::move(op));
    }
    for (plan::Operation& op : s.operations) {
      const auto piece = std::find_if(pieces_.begin(), pieces_.end(), [&](const Piece& p) { return p.id == op.step; });
      if (piece == pieces_.end()) continue;  // "now"
      op.step = piece->step->id;
      op.first_unit = piece->units.front();
      op.last_unit = piece->units.back();
      for (int unit = op.first_unit; unit <= op.last_unit; ++unit) {
        if (std::find(piece->units.begin(), piece->units.end(), unit) == piece->units.end()) op.without.insert(unit);
      }
      op.because = in_words_of_the_lot(std::move(op.because));
      operations.push_back(op);
    }
    std::stable_sort(operations.begin(), operations.end(), [](const plan::Operation& a, const plan::Operation& b) {
      return std::tuple(a.start, a.step, a.first_unit) < std::tuple(b.start, b.step, b.first_unit);
    });
    s.operations = std::move(operations);
    s.start = plan_.schedule.start;
    s.makespan = s.finish - s.start;
    s.bound = s.bound + (progress_.now - s.start);
    s.batches.clear();
    return s;
  }

  /// Which latest ends hold, fewer from one to the next.
  enum class Latest { kept, at_opening, passed_let_go, spoiling_kept, given_up };

  const plan::Plan& plan_;
  const Progress& progress_;
  HalfDone lot_;
  LateClocks clocks_;
  Latest latest_ = Latest::kept;
  std::vector<Piece> pieces_;
  const double seconds_;  ///< of CPU, for all tries
  const double begun_ = cpu_seconds();
};

}  // namespace

std::vector<plan::Interval> hours_from(const job::Job& job, const plan::Work& work, Instant now) {
  return hours_of(job, now, days_needed(job, work)).value_or(std::vector<plan::Interval>{});
}

std::map<ResourceId, std::vector<plan::Interval>> absences_in(const job::Job& job, const std::vector<plan::Interval>& hours) {
  std::map<ResourceId, std::vector<plan::Interval>> all;
  for (const job::Person& p : job.bench.people) all[p.id] = away_of(job, p.id, hours);
  return all;
}

Result<plan::Plan> replan(const plan::Plan& plan, const Progress& progress, double seconds) { return Rest(plan, progress, seconds).run(); }

}  // namespace handlot::pipeline
