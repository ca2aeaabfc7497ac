#include "record/admit.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/text.h"
#include "plan/find.h"
#include "record/late.h"
#include "record/meant.h"
#include "record/places.h"
#include "record/presence.h"

namespace handlot::record {
namespace {

using plan::Edge;

constexpr int kAsWritten = 9;  // decimals: no value reads as its limit

std::string name(const plan::Step& step) {
  return fmt::format("step {} ({})", step.number, step.title);
}

Duration whole_seconds(double seconds) {
  return Duration(static_cast<std::int64_t>(std::ceil(seconds)));
}

const Cell& blank_cell() {
  static const Cell blank;
  return blank;
}

class Gate {
 public:
  Gate(const plan::Plan& plan, const State& state, const plan::Step& step, int unit, const Moment& now)
      : plan_(plan), state_(state), step_(step), unit_(unit), now_(now) {
    const Cell* cell = cell_of(state, step, unit);
    cell_ = cell ? cell : &blank_cell();
  }

  std::vector<Obstacle> start() {
    if (gone()) return out_;
    if (cell_->stand != Stand::open && cell_->stand != Stand::again) {
      add(Obstacle::Kind::already, {}, fmt::format("{} is {} already", name(step_), word(cell_->stand)));
      return out_;
    }
    first_piece();
    look_first();
    links(Edge::start);
    ends_in_time();
    apart();
    places();
    people();
    return out_;
  }

  std::vector<Obstacle> end() {
    if (gone()) return out_;
    if (cell_->stand == Stand::done) {
      add(Obstacle::Kind::already, {}, fmt::format("{} is done already", name(step_)));
      return out_;
    }
    if (cell_->stand == Stand::open || cell_->stand == Stand::again) {
      first_piece();
      look_first();
      links(Edge::start);
      apart();
    }
    links(Edge::end);
    unattended();
    checks();
    return out_;
  }

 private:
  void add(Obstacle::Kind kind, const StepId& other, std::string text, double wait_s = 0) {
    const bool there = std::any_of(out_.begin(), out_.end(), [&](const Obstacle& o) {
      return o.kind == kind && o.other == other && (kind == Obstacle::Kind::order || o.text == text);
    });
    if (!there) out_.push_back({kind, unit_, other, std::move(text), wait_s});
  }

  bool gone() {
    if (unit_ == 0 || state_.in_lot(unit_)) return false;
    add(Obstacle::Kind::scrapped, {}, fmt::format("unit {} is not in the lot any more", unit_));
    return true;
  }

  void first_piece() {
    if (!step_.timing.first_piece || step_.timing.whole_lot || unit_ == 0) return;
    const auto good = state_.good_units();
    const bool one_done = std::any_of(good.begin(), good.end(), [&](int n) {
      const Cell* c = cell_of(state_, step_, n);
      return c && c->passes > 0;
    });
    if (!one_done && !good.empty() && unit_ != good.front())
      add(Obstacle::Kind::first, step_.id,
          fmt::format("unit {} comes first, alone, and is checked before {} is repeated", good.front(),
                      name(step_)));
  }

  /// The rest waits until the unit that went through first was looked at, in a later step.
  void look_first() {
    if (unit_ == 0) return;
    const auto good = state_.good_units();
    const auto passed = [&](const plan::Step& step, int n) {
      const Cell* c = cell_of(state_, step, n);
      return c && c->passes > 0;
    };
    for (const plan::LookFirst& l : plan_.work.looks) {
      const auto* look = l.repeat == step_.id ? find_step(plan_, l.look) : nullptr;
      if (!look || std::any_of(good.begin(), good.end(), [&](int n) { return passed(*look, n); })) continue;
      const auto first = std::find_if(good.begin(), good.end(), [&](int n) { return passed(step_, n); });
      if (first == good.end() || *first == unit_) continue;
      add(Obstacle::Kind::first, l.look, fmt::format("unit {} is looked at in {} before {} is repeated", *first, name(*look), name(step_)));
    }
  }

  /// Units whose earlier step counts for this link.
  std::vector<int> origin_units(const plan::Constraint& link, const plan::Step& from) const {
    if (from.timing.whole_lot) return {unit_};
    if (link.scope == plan::Scope::lot || unit_ == 0) return state_.good_units();
    return {unit_};
  }

  void links(Edge edge) {
    calendar(edge);
    for (const auto& link : plan_.work.constraints) {
      if (link.to.step != step_.id || link.to.edge != edge || link.from.step == step_.id) continue;
      // What only the listing orders is asked for at the next step, and not again at every one behind it.
      if (link.redundant && link.reason.kind == plan::ReasonKind::listing) continue;
      const auto* from = find_step(plan_, link.from.step);
      if (!from) continue;
      for (const int origin : origin_units(link, *from)) one_link(link, *from, origin);
    }
    if (edge == Edge::start) worked_on_again();
  }

  /// What lies between is done, and asks for nothing; but what was proved before that work is proved after it.
  void worked_on_again() {
    if (std::any_of(out_.begin(), out_.end(), [](const Obstacle& o) { return o.kind == Obstacle::Kind::order; })) return;
    for (const auto& from : plan_.work.steps) {
      if (from.id == step_.id) return;
      const Cell* before = cell_of(state_, from, unit_);
      if (!before || before->done || !before->last_done) continue;
      const auto later = downstream(plan_, from.id);
      if (std::find(later.begin(), later.end(), step_.id) == later.end()) continue;
      add(Obstacle::Kind::order, from.id, fmt::format("{} is to be done again first: what follows rests on it", name(from)));
      return;
    }
  }

  /// What ends by the calendar is over by the clock of the wall, whenever its clock was started here.
  void calendar(Edge edge) {
    for (const plan::Wait& wait : plan_.waits) {
      if (!wait.latest || wait.to.step != step_.id || wait.to.edge != edge || now_.wall_ms / 1000 <= wait.latest->seconds) continue;
      add(Obstacle::Kind::late, wait.from.step, fmt::format("{} is over{}", wait.what, wait.if_late.empty() ? "" : ": " + wait.if_late));
    }
  }

  void one_link(const plan::Constraint& link, const plan::Step& from, int origin) {
    const Cell* before = cell_of(state_, from, origin);
    const auto at = !before ? std::nullopt : link.from.edge == Edge::start ? before->start : before->done;
    const std::string whose = origin == unit_ || origin == 0 ? "" : fmt::format(" for unit {}", origin);
    if (!at) {
      if (link.min.seconds < 0) return;
      const char* verb = link.from.edge == Edge::start ? "begun" : "done";
      add(Obstacle::Kind::order, from.id,
          fmt::format("{} is not {}{}: {}", name(from), verb, whose, link.reason.text));
      return;
    }
    if (over_for_good(link, *at, origin)) return;
    const Elapsed gone = elapsed(*at, now_, state_.gaps);
    const auto min = static_cast<double>(link.min.seconds);
    if (gone.least_s < min) {
      const bool doubt = gone.most_s >= min;
      add(doubt ? Obstacle::Kind::doubt : Obstacle::Kind::wait, from.id,
          fmt::format("{} of {} to go after {}{}: {}", in_words(whole_seconds(min - gone.least_s)),
                      in_words(link.min), name(from),
                      doubt ? ", unless the clock is right about the time the machine was off" : "",
                      link.reason.text),
          min - gone.least_s);
    }
    if (link.max && gone.most_s > static_cast<double>(link.max->seconds))
      add(Obstacle::Kind::late, from.id,
          fmt::format("more than {} since {}{}", in_words(*link.max), name(from),
                      link.if_late.empty() ? "" : ": " + if_late_words(from, link.if_late)));
  }

  bool over_for_good(const plan::Constraint& link, const Moment& began, int unit) const {
    return link.reason.kind == plan::ReasonKind::paste && is_melted(plan_, state_, link.from.step, unit, began);
  }

  /// What must have ended by a latest end is not begun when it cannot: the parts would lie on dead paste.
  void ends_in_time() {
    const auto own = state_.agreed_s.find(step_.id);
    const double run = own == state_.agreed_s.end() ? static_cast<double>(step_.timing.run.seconds) : own->second;
    const double takes = run + static_cast<double>(step_.timing.unattended.seconds);
    for (const auto& link : plan_.work.constraints) {
      if (link.to.step != step_.id || link.to.edge != Edge::end || !link.max || link.from.step == step_.id) continue;
      const auto* from = find_step(plan_, link.from.step);
      if (!from) continue;
      for (const int origin : origin_units(link, *from)) ends_in_time(link, *from, origin, takes);
    }
  }

  void ends_in_time(const plan::Constraint& link, const plan::Step& from, int origin, double takes) {
    const Cell* before = cell_of(state_, from, origin);
    const auto at = !before ? std::nullopt : link.from.edge == Edge::start ? before->start : before->done;
    if (!at || over_for_good(link, *at, origin)) return;
    const double left = static_cast<double>(link.max->seconds) - elapsed(*at, now_, state_.gaps).most_s;
    if (left >= takes) return;
    const std::string when = left < 0 ? fmt::format("more than {} since {}", in_words(*link.max), name(from))
                                      : fmt::format("{} since {} are over in {}, and {} takes {}", in_words(*link.max), name(from),
                                                    in_words(whole_seconds(left)), name(step_), in_words(whole_seconds(takes)));
    add(Obstacle::Kind::late, from.id, when + (link.if_late.empty() ? "" : ": " + if_late_words(from, link.if_late)));
  }

  void apart() {
    for (const auto& pair : plan_.work.apart) {
      if (pair.a == step_.id) against(pair.b, pair.clear_after_b, pair.reason);
      if (pair.b == step_.id) against(pair.a, pair.clear_after_a, pair.reason);
    }
  }

  void places() {
    for (const NoPlace& full : no_place(plan_, state_, step_, unit_, now_)) add(Obstacle::Kind::place, full.by, full.text, full.wait_s);
    const int most = step_.timing.batch_max;
    if (most > 0 && unit_ != 0 && begun_with_this_touch() >= most)
      add(Obstacle::Kind::place, step_.id, fmt::format("{} takes at most {} at once", name(step_), counted(most, "unit", "units")));
  }

  void people() {
    if (const auto gone = absent(plan_, state_, step_, now_)) add(Obstacle::Kind::person, {}, gone->text, gone->wait_s);
  }

  int begun_with_this_touch() const {
    int count = 0;
    for (auto at = state_.cells.lower_bound({step_.id, 0}); at != state_.cells.end() && at->first.first == step_.id; ++at) {
      const Cell& cell = at->second;
      if (cell.stand == Stand::started && cell.start && touched_ms(*cell.start) == touched_ms(now_)) ++count;
    }
    return count;
  }

  void against(const StepId& id, Duration clear, const plan::Reason& reason) {
    const auto* other = find_step(plan_, id);
    if (!other) return;
    const LastOut out = last_out(state_, id);
    if (out.going_on) add(Obstacle::Kind::apart, id, fmt::format("{} is going on: {}", name(*other), reason.text));
    if (out.going_on || !out.ended) return;
    const Elapsed gone = elapsed(*out.ended, now_, state_.gaps);
    const double left = static_cast<double>(clear.seconds) - gone.least_s;
    if (left <= 0) return;
    const bool doubt = gone.most_s >= static_cast<double>(clear.seconds);
    add(doubt ? Obstacle::Kind::doubt : Obstacle::Kind::wait, id,
        fmt::format("{} of {} to go after {}{}: {}", in_words(whole_seconds(left)), in_words(clear), name(*other),
                    doubt ? ", unless the clock is right about the time the machine was off" : "", reason.text),
        left);
  }

  void unattended() {
    const auto needs = static_cast<double>(step_.timing.unattended.seconds);
    if (needs <= 0) return;
    const auto from = cell_->leave ? cell_->leave : cell_->start;
    const Elapsed gone = from ? elapsed(*from, now_, state_.gaps) : Elapsed{};
    if (gone.least_s >= needs) return;
    const bool doubt = gone.most_s >= needs;
    add(doubt ? Obstacle::Kind::doubt : Obstacle::Kind::wait, step_.id,
        fmt::format("{} runs by itself for {}, {} to go{}", name(step_), in_words(step_.timing.unattended),
                    in_words(whole_seconds(needs - gone.least_s)),
                    doubt ? ", unless the clock is right about the time the machine was off" : ""),
        needs - gone.least_s);
  }

  static std::string with_unit(const plan::Check& check, const Entry& entry) {
    return number(*entry.value, kAsWritten) + (check.unit.empty() ? "" : " " + check.unit);
  }

  void checks() {
    for (const auto& check : step_.checks) {
      const auto entry = cell_->checks.find(check.id);
      const bool there = entry != cell_->checks.end() && (!check.value || entry->second.value);
      if ((!there || entry->second.early) && step_.hold)
        add(Obstacle::Kind::check, step_.id,
            fmt::format("hold: {} ({}) first", check.value ? "measure and write down" : "look and tick",
                        check.what));
      if (there && before_the_run(step_, *cell_, check, entry->second))
        add(Obstacle::Kind::limit, step_.id, fmt::format("{}: {} was written before {} ran by itself", check.what, with_unit(check, entry->second), name(step_)));
      if (there && entry->second.value && !asked(check).holds(*entry->second.value))
        add(Obstacle::Kind::limit, step_.id,
            fmt::format("{}: {} is outside {}", check.what, with_unit(check, entry->second), check.limit));
    }
  }

  const plan::Plan& plan_;
  const State& state_;
  const plan::Step& step_;
  int unit_;
  Moment now_;
  const Cell* cell_;
  std::vector<Obstacle> out_;
};

void add(Diagnostics& out, const char* code, std::string text, std::string mend) {
  out.push_back(error(code, {}, std::move(text), std::move(mend)));
}

const char* mend_for(const Obstacle& o) {
  switch (o.kind) {
    case Obstacle::Kind::check:
      return "write the value or the tick into the step";
    case Obstacle::Kind::limit:
      return "measure again, send the unit to rework, or write why it is good as it is";
    case Obstacle::Kind::doubt:
      return "answer the question about the clock at the top of the page";
    case Obstacle::Kind::wait:
      return "wait, or write why you go on before the time";
    case Obstacle::Kind::place:
      return "wait until there is a place, or write why there is one all the same";
    case Obstacle::Kind::scrapped:
      return "correct the line that scrapped it, if that was wrong";
    case Obstacle::Kind::already:
      return "reload the page; correct the line if it was wrong";
    default:
      return "do that first, or write why you go on all the same";
  }
}

void refuse_step(const plan::Plan& plan, const State& state, const Event& line, const Moment& now,
                 Diagnostics& out) {
  const auto* step = find_step(plan, line.step);
  if (line.kind == Kind::leave) {
    const Cell* cell = cell_of(state, *step, line.unit);
    if (!cell || cell->stand != Stand::started)
      add(out, "record-refused", fmt::format("{} is not in hand", name(*step)), "begin it first");
    return;
  }
  const Edge edge = line.kind == Kind::start ? Edge::start : Edge::end;
  for (const Obstacle& o : obstacles(plan, state, *step, line.unit, edge, now))
    if (o.kind != Obstacle::Kind::person && (!o.may_insist() || is_blank(line.text))) add(out, "record-refused", o.text, mend_for(o));
}

/// A value of what is not there yet says nothing: a hold would be passed on it.
void refuse_early_check(const plan::Plan& plan, const State& state, const plan::Step& step, const Event& line, const Moment& now,
                        Diagnostics& out) {
  const Cell* cell = cell_of(state, step, line.unit);
  if (cell && cell->stand != Stand::open && cell->stand != Stand::again) return;
  if (line.kind == Kind::value && step.hold && step.timing.unattended.seconds > 0)
    add(out, "record-refused", fmt::format("{} is not begun: a value from before its run says nothing of what comes out", name(step)), "begin the step first, and measure when it has run");
  for (const Obstacle& o : obstacles(plan, state, step, line.unit, Edge::start, now))
    if (o.kind != Obstacle::Kind::place && o.kind != Obstacle::Kind::person)
      add(out, "record-refused", o.text, "begin the step first, and then look or measure; what you saw before goes into a note");
}

void refuse_check(const plan::Plan& plan, const State& state, const Event& line, const Moment& now, Diagnostics& out) {
  const auto* step = find_step(plan, line.step);
  const auto* check = find_check(*step, line.item);
  if (!check)
    return add(out, "record-no-check", fmt::format("{} has no check '{}'", name(*step), line.item),
               "reload the page");
  if (check->value && line.kind == Kind::tick)
    add(out, "record-no-check", fmt::format("'{}' wants a value, not a tick", check->what),
        "write the value");
  if (line.unit != 0 && !state.in_lot(line.unit))
    return add(out, "record-refused", fmt::format("unit {} is not in the lot any more", line.unit),
               "correct the line that scrapped it, if that was wrong");
  refuse_early_check(plan, state, *step, line, now, out);
}

void refuse_strike(const State& state, std::span<const Event> lines, const Event& line, const Moment& now,
                   Diagnostics& out) {
  const auto target =
      std::find_if(lines.begin(), lines.end(), [&](const Event& e) { return e.id == line.target; });
  if (target == lines.end())
    return add(out, "record-strike", "there is no such line to correct", "reload the page");
  if (state.struck.count(line.target))
    return add(out, "record-strike", "that line is struck through already", "reload the page");
  if (target->kind == Kind::correction || target->kind == Kind::clock || target->kind == Kind::plan)
    return add(out, "record-strike", fmt::format("a '{}' line is not struck through", word(target->kind)),
               "write a new line that says what is right");
  const Moment then{target->seq, target->at.ran_ms, target->at.wall_ms};
  if (line.item == "undo" && elapsed(then, now, state.gaps).most_s > kUndoSeconds)
    add(out, "record-undo-late", fmt::format("more than {} s have gone by", kUndoSeconds),
        "correct the line in the record, with a reason");
}

/// The same deed, of a unit that has not begun the step. What stood against it then stands against nothing now: the words
/// of the correction say how it was.
void refuse_stand_in(const plan::Plan& plan, const State& state, std::span<const Event> lines, const Event& line, const Moment& now, Diagnostics& out) {
  const auto there = std::find_if(lines.begin(), lines.end(), [&](const Event& e) { return e.id == line.target; });
  const bool same = there != lines.end() && there->kind == line.kind && there->step == line.step && there->item == line.item && there->value == line.value;
  if (!same || !state.struck.count(line.target))
    return add(out, "record-strike", "there is no such struck line to stand in for", "reload the page");
  const bool twice = std::any_of(lines.begin(), lines.end(), [&](const Event& e) { return stands_in(e) && e.target == line.target && !state.struck.count(e.id); });
  if (twice) return add(out, "record-strike", "a line stands in for that one already", "reload the page");
  const auto* step = find_step(plan, line.step);
  const Edge edge = line.kind == Kind::start ? Edge::start : Edge::end;
  if (line.kind == Kind::leave) return;
  for (const Obstacle& o : obstacles(plan, state, *step, line.unit, edge, now))
    if (o.kind == Obstacle::Kind::scrapped || o.kind == Obstacle::Kind::already) add(out, "record-refused", fmt::format("unit {}: {}", line.unit, o.text), "strike that line through first, if that was wrong, too");
}

/// The same fault of the same step, and nothing was done about it since: one touch that was sent twice.
void refuse_twice(const plan::Plan& plan, const State& state, const Event& line, Diagnostics& out) {
  const auto* step = find_step(plan, line.step);
  const bool all = line.unit == 0 && !step->timing.whole_lot;
  const auto units = all ? state.good_units() : std::vector<int>{line.unit};
  const bool asked = !units.empty() && std::all_of(units.begin(), units.end(), [&](int n) {
    const Cell* cell = cell_of(state, *step, n);
    return cell && cell->stand == Stand::again && cell->again_because == line.text;
  });
  if (asked)
    add(out, "record-refused", fmt::format("{} is to be done again already, for that reason", name(*step)),
        "do it; write a fault of its own where there is another");
}

/// What closed it for good: a step that hides it and has no way back, begun since.
const plan::Constraint* closed_by(const plan::Plan& plan, const State& state, const StepId& step, int unit) {
  const auto& all = plan.work.constraints;
  const auto link = std::find_if(all.begin(), all.end(), [&](const plan::Constraint& c) {
    if (c.from.step != step || (c.reason.kind != plan::ReasonKind::access && c.reason.kind != plan::ReasonKind::blocked)) return false;
    const auto* closing = find_step(plan, c.to.step);
    const Cell* cell = closing && closing->irreversible ? cell_of(state, *closing, unit) : nullptr;
    return cell && cell->stand != Stand::open && cell->stand != Stand::again;
  });
  return link == all.end() ? nullptr : &*link;
}

/// Done again can only be what was begun, and what a hand still reaches.
void refuse_rework(const plan::Plan& plan, const State& state, const Event& line, Diagnostics& out) {
  const auto* step = find_step(plan, line.step);
  const bool all = line.unit == 0 && !step->timing.whole_lot;
  const auto units = all ? state.good_units() : std::vector<int>{line.unit};
  const bool untouched = std::all_of(units.begin(), units.end(), [&](int n) {
    const Cell* cell = cell_of(state, *step, n);
    return !cell || (cell->stand == Stand::open && cell->passes == 0);
  });
  if (untouched)
    return add(out, "record-refused", fmt::format("{} was never begun, so there is nothing to do again", name(*step)),
               "name the step that made the fault, or write a note");
  if (line.item == kReached) return;
  for (const int n : units)
    if (const auto* link = closed_by(plan, state, step->id, n))
      return add(out, "record-no-way-back",
                 fmt::format("{} cannot be undone, and nobody reaches what {} made any more: {}", name(*find_step(plan, link->to.step)), name(*step), link->reason.text),
                 "scrap the unit, or write how it is reached all the same");
}

void refuse_away(const plan::Plan& plan, const Event& line, Diagnostics& out) {
  if (plan::find_resource(plan.work, ResourceId(line.item)) == nullptr)
    add(out, "record-no-resource", fmt::format("the plan has no '{}' that could be away", line.item), "choose a person, a station or a fixture of the job");
}

bool of_a_step(Kind kind) {
  return kind == Kind::start || kind == Kind::leave || kind == Kind::done || kind == Kind::tick ||
         kind == Kind::value || kind == Kind::rework || kind == Kind::times;
}

/// Unit 0 where the step is of single units, or a single unit where it is of the whole lot, says the wrong
/// thing.
void refuse_unit(const plan::Plan& plan, const State& state, const Event& line, Diagnostics& out) {
  const auto* step = find_step(plan, line.step);
  if (line.unit > state.lot)
    return add(out, "record-no-unit", fmt::format("the lot has {} units, not {}", state.lot, line.unit),
               "name a unit of the lot");
  if (!step || !of_a_step(line.kind) || line.kind == Kind::times || line.kind == Kind::rework) return;
  if (line.unit == 0 && !step->timing.whole_lot)
    add(out, "record-no-unit", fmt::format("{} is done unit by unit", name(*step)), "name the unit");
  if (line.unit != 0 && step->timing.whole_lot && !state.cells.count({step->id, line.unit}))
    add(out, "record-no-unit", fmt::format("{} is done for the whole lot at once", name(*step)),
        "tick it for the whole lot");
}

}  // namespace

bool before_the_run(const plan::Step& step, const Cell& cell, const plan::Check& check, const Entry& entry) {
  const auto from = cell.leave ? cell.leave : cell.start;
  return step.hold && check.value && step.timing.unattended.seconds > 0 && from && entry.at.seq < from->seq;
}

LastOut last_out(const State& state, const StepId& step) {
  LastOut out;
  for (const auto& [key, cell] : state.cells) {
    if (key.first != step) continue;
    const bool in_hand = cell.stand == Stand::started || cell.stand == Stand::running, scrapped = key.second != 0 && !state.in_lot(key.second);
    out.going_on = out.going_on || (in_hand && !scrapped);
    // A pass that is to be done again, and one of a unit that is scrapped since, has left its heat and its vapour like any other.
    const auto ended = in_hand && scrapped ? std::optional(state.units[static_cast<std::size_t>(key.second - 1)].scrapped_at) : cell.last_done;
    if (ended && (!out.ended || ended->seq > out.ended->seq)) out.ended = ended;
  }
  return out;
}

std::vector<Obstacle> obstacles(const plan::Plan& plan, const State& state, const plan::Step& step, int unit,
                                Edge edge, const Moment& now) {
  Gate gate(plan, state, step, unit, now);
  return edge == Edge::start ? gate.start() : gate.end();
}

bool passes_by_itself(const Obstacle& o) {
  return o.kind == Obstacle::Kind::wait || o.kind == Obstacle::Kind::place || o.kind == Obstacle::Kind::person;
}

bool only_time_is_missing(const std::vector<Obstacle>& obstacles) {
  return std::all_of(obstacles.begin(), obstacles.end(), [](const Obstacle& o) {
    return passes_by_itself(o) && (o.kind == Obstacle::Kind::wait || o.wait_s > 0);
  });
}

Diagnostics refuse(const plan::Plan& plan, const State& state, std::span<const Event> lines,
                   const Event& line, const Moment& now) {
  Diagnostics out = faults_of_form(line);
  if (!out.empty()) return out;
  const bool names_a_step = of_a_step(line.kind) || (line.kind == Kind::photo && !line.step.empty());
  if (names_a_step && !find_step(plan, line.step)) {
    add(out, "record-no-step", fmt::format("the plan has no step '{}'", line.step.text),
        "reload the page: the plan may have changed");
    return out;
  }
  if (of_a_step(line.kind) || line.unit != 0) refuse_unit(plan, state, line, out);
  if (!out.empty()) return out;
  if (stands_in(line)) {
    refuse_stand_in(plan, state, lines, line, now, out);
    return out;
  }
  switch (line.kind) {
    case Kind::start:
    case Kind::leave:
    case Kind::done:
      refuse_step(plan, state, line, now, out);
      break;
    case Kind::tick:
    case Kind::value:
      refuse_check(plan, state, line, now, out);
      break;
    case Kind::correction:
      refuse_strike(state, lines, line, now, out);
      break;
    case Kind::scrap:
      if (!state.in_lot(line.unit))
        add(out, "record-no-unit", fmt::format("unit {} is not in the lot", line.unit),
            "name a unit of the lot");
      break;
    case Kind::rework:
      if (line.unit != 0 && !state.in_lot(line.unit))
        add(out, "record-no-unit", fmt::format("unit {} is not in the lot", line.unit),
            "name a unit of the lot");
      if (out.empty()) refuse_twice(plan, state, line, out);
      if (out.empty()) refuse_rework(plan, state, line, out);
      break;
    case Kind::away:
      refuse_away(plan, line, out);
      break;
    default:
      break;
  }
  return out;
}

}  // namespace handlot::record
