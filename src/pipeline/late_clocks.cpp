#include "pipeline/late_clocks.h"

#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "plan/units.h"

namespace handlot::pipeline {

namespace {

std::string in_units(const std::set<int>& units) { return fmt::format("{} {}", units.size() == 1 ? "unit" : "units", fmt::join(units, ", ")); }

}  // namespace

Duration unseen(const plan::Constraint& link, const Done& from) { return link.from.edge == plan::Edge::start ? from.unseen_start : from.unseen_end; }

bool spoils(const plan::Constraint& link) { return link.spoils && !link.wish; }

std::optional<Clock> LateClocks::clock_of(const plan::Constraint& link, int unit) const {
  if (!link.max || lot_.is_done(link.to.step, unit) || progress_.scrapped.contains(unit) || !lot_.counts(link, {lot_.step_of(link.to.step), {unit}, {}})) return std::nullopt;
  const plan::Step* from = lot_.step_of(link.from.step);
  const bool of_lot = link.scope == plan::Scope::lot && from != nullptr && !from->timing.whole_lot;
  std::optional<Clock> first;
  for (auto at = lot_.done().lower_bound({link.from.step, 0}); at != lot_.done().end() && at->first.first == link.from.step; ++at) {
    const auto& [key, done] = *at;
    if ((!of_lot && key.second != unit) || progress_.scrapped.contains(key.second)) continue;
    const Instant began = link.from.edge == plan::Edge::start ? done.start : done.end;
    const Instant ends = began + *link.max + -unseen(link, done);
    if (!lot_.melted(link, key.second, began) && (!first || ends < first->ends)) first = Clock{&link, unit, ends};
  }
  return first;
}

std::vector<Clock> LateClocks::late_in(const plan::Schedule& s) const {
  std::vector<Clock> late;
  for (const plan::Constraint& link : plan_.work.constraints) {
    for (const plan::Operation& op : s.operations) {
      if (!link.max || op.because == "done" || op.step != link.to.step) continue;
      const Piece piece = piece_of(op);
      for (std::size_t n = 0; n < piece.units.size(); ++n) {
        const auto clock = clock_of(link, piece.units[n]);
        const Instant used = (link.to.edge == plan::Edge::start ? op.start : op.end) + lot_.own_offset(piece, n, link.to.edge);
        if (clock && used > clock->ends) late.push_back(*clock);
      }
    }
  }
  return late;
}

Piece LateClocks::piece_of(const plan::Operation& op) const { return {lot_.step_of(op.step), plan::units_in(op), {}}; }

std::vector<Clock> LateClocks::dead_by_now() const {
  std::vector<Clock> dead;
  for (const plan::Constraint& link : plan_.work.constraints) {
    const plan::Step* to = lot_.step_of(link.to.step);
    if (!spoils(link) || to == nullptr) continue;
    Instant soonest = needs_somebody(to->timing) ? lot_.opening() : progress_.now;
    if (link.to.edge == plan::Edge::end) soonest = soonest + to->timing.setup + lot_.run_time(*to) + to->timing.unattended;
    for (int unit = 1; unit <= plan_.work.units; ++unit) {
      if (const auto clock = clock_of(link, unit); clock && clock->ends < soonest) dead.push_back(*clock);
    }
  }
  return dead;
}

std::vector<Clock> LateClocks::first_to_die(const plan::Schedule& s) const {
  std::vector<Clock> late = late_in(s);
  std::erase_if(late, [&](const Clock& c) { return !spoils(*c.link) || !lot_.is_done(c.link->from.step, c.unit); });
  const auto first = std::min_element(late.begin(), late.end(), [](const Clock& a, const Clock& b) { return a.ends < b.ends; });
  if (first == late.end()) return {};
  const Clock soonest = *first;
  std::erase_if(late, [&](const Clock& c) { return c.ends != soonest.ends || c.link != soonest.link; });
  return late;
}

bool LateClocks::spoil(const std::vector<Clock>& dead) {
  bool any = false;
  for (const Clock& clock : dead) {
    if (!lot_.undo(clock.link->from.step, clock.unit)) continue;
    any = true;
    spoilt_[clock.link].insert(clock.unit);
    // What was glued while the mix was good stays good; parts in dried paste come off with it.
    const auto above = progress_.rests_on.find(clock.link->from.step);
    if (above == progress_.rests_on.end() || clock.link->reason.kind == plan::ReasonKind::clock) continue;
    for (const StepId& later : above->second) lot_.undo(later, clock.unit);
  }
  return any;
}

std::string LateClocks::title_of(const StepId& id) const {
  const plan::Step* step = lot_.step_of(id);
  return step != nullptr && !step->title.empty() ? step->title : id.text;
}

void LateClocks::name_the_late(plan::Schedule& s) const {
  std::map<const plan::Constraint*, std::set<int>> late;
  for (const Clock& clock : late_in(s)) late[clock.link].insert(clock.unit);
  for (const plan::Constraint& link : plan_.work.constraints) {
    const auto units = late.find(&link);
    if (units == late.end()) continue;
    plan::Reason reason = link.reason;
    reason.text = fmt::format("{} comes more than {} after {} for {}: {}{}{}", title_of(link.to.step), in_words(*link.max), title_of(link.from.step), in_units(units->second),
                              link.reason.text, link.if_late.empty() ? "" : "; if late: ", link.if_late);
    s.clash.push_back(std::move(reason));
  }
}

void LateClocks::name_what_is_over(plan::Schedule& s) const {
  for (const plan::Wait& wait : plan_.waits) {
    std::set<int> late;
    for (const plan::Operation& op : s.operations) {
      if (!wait.latest || op.because == "done" || op.step != wait.to.step || (wait.to.edge == plan::Edge::start ? op.start : op.end) <= *wait.latest) continue;
      for (const int unit : piece_of(op).units) late.insert(unit);
    }
    if (late.empty()) continue;
    plan::Reason reason;
    reason.kind = wait.kind;
    reason.source = wait.source;
    reason.text = fmt::format("{} is over when {} comes for {}{}", wait.what, title_of(wait.to.step), in_units(late), wait.if_late.empty() ? "" : ": " + wait.if_late);
    s.clash.push_back(std::move(reason));
  }
}

void LateClocks::name_the_spoilt(plan::Schedule& s) const {
  for (const plan::Constraint& link : plan_.work.constraints) {
    const auto units = spoilt_.find(&link);
    if (units == spoilt_.end()) continue;
    plan::Reason reason = link.reason;
    reason.text = fmt::format("{} can't come within {} after {} for {}: {}{}{}; {} is planned again for {}: say in the record that it is done again", title_of(link.to.step),
                              in_words(*link.max), title_of(link.from.step), in_units(units->second), link.reason.text, link.if_late.empty() ? "" : "; ", link.if_late,
                              title_of(link.from.step), units->second.size() == 1 ? "it" : "them");
    s.clash.push_back(std::move(reason));
  }
}

void LateClocks::name(plan::Schedule& s) const {
  name_the_late(s);
  name_what_is_over(s);
  name_the_spoilt(s);
}

}  // namespace handlot::pipeline
