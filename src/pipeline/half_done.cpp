#include "pipeline/half_done.h"

#include <algorithm>

namespace handlot::pipeline {

namespace {

std::vector<StepId> ids_of(const plan::Plan& plan) {
  std::vector<StepId> ids;
  for (const plan::Step& step : plan.work.steps) ids.push_back(step.id);
  return ids;
}

}  // namespace

bool needs_hands(const plan::Timing& t) { return t.setup.seconds > 0 || t.hands_on; }

bool needs_somebody(const plan::Timing& t) { return needs_hands(t) || t.unattended.seconds > 0; }

HalfDone::HalfDone(const plan::Plan& plan, const Progress& progress)
    : plan_(plan), progress_(progress), reach_(ids_of(plan), plan.work.constraints), earlier_(progress.earlier) {
  for (const Done& d : progress.done) done_[{d.step, d.unit}] = d;
}

bool HalfDone::undo(const StepId& step, int unit) {
  const auto at = done_.find({step, unit});
  if (at == done_.end()) return false;
  earlier_.push_back(at->second);
  done_.erase(at);
  return true;
}

bool HalfDone::fell_back(const plan::Step& step, int unit) const {
  return std::any_of(earlier_.begin(), earlier_.end(), [&](const Done& d) {
    return d.unit == unit && !is_done(d.step, unit) && (d.step == step.id || reach_.before(d.step, step.id));
  });
}

const plan::Step* HalfDone::step_of(const StepId& id) const {
  const auto found = std::find_if(plan_.work.steps.begin(), plan_.work.steps.end(), [&](const plan::Step& s) { return s.id == id; });
  return found == plan_.work.steps.end() ? nullptr : &*found;
}

bool HalfDone::counts(const plan::Constraint& link, const Piece& to) const {
  if (!link.redundant) return true;
  return std::any_of(plan_.work.steps.begin(), plan_.work.steps.end(), [&](const plan::Step& between) {
    const bool done = std::any_of(to.units.begin(), to.units.end(), [&](int unit) { return is_done(between.id, unit); });
    return done && reach_.before(link.from.step, between.id) && reach_.before(between.id, link.to.step);
  });
}

bool HalfDone::melted(const plan::Constraint& link, int unit, Instant began) const {
  if (link.reason.kind != plan::ReasonKind::paste) return false;
  const auto in_oven = [&](const Done& d) {
    const plan::Step* step = step_of(d.step);
    return d.unit == unit && d.end > began && step != nullptr && step->process == "reflow";
  };
  return std::any_of(progress_.done.begin(), progress_.done.end(), in_oven) || std::any_of(progress_.earlier.begin(), progress_.earlier.end(), in_oven);
}

Duration HalfDone::run_time(const plan::Step& step) const {
  const auto own = progress_.own_run_times.find(step.id);
  return own == progress_.own_run_times.end() ? step.timing.run : own->second;
}

Duration HalfDone::own_offset(const Piece& piece, std::size_t place, plan::Edge edge) const {
  const plan::Timing& t = piece.step->timing;
  if (!t.hands_on || !t.run_per_unit || (edge == plan::Edge::end && t.unattended.seconds > 0)) return Duration(0);
  const std::size_t turns = edge == plan::Edge::start ? place : piece.units.size() - 1 - place;
  const Duration off = run_time(*piece.step) * static_cast<std::int64_t>(turns);
  return edge == plan::Edge::start ? off : -off;
}

Instant HalfDone::opening() const {
  for (const plan::Interval& open : hours()) {
    if (open.close > progress_.now) return std::max(open.open, progress_.now);
  }
  return progress_.now;
}

}  // namespace handlot::pipeline
