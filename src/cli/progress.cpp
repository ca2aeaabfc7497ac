#include "cli/progress.h"

#include <algorithm>
#include <cmath>

#include "record/places.h"

namespace handlot::cli {

namespace {

using record::Cell;
using record::Moment;
using record::Stand;
using record::State;

class Teller {
 public:
  Teller(const plan::Plan& plan, const State& state, const Moment& now) : plan_(plan), state_(state), now_(now) {
    out_.now = Instant((now.wall_ms + 999) / 1000);
  }

  pipeline::Progress tell() {
    for (const auto& [step, seconds] : state_.agreed_s) out_.own_run_times[step] = Duration(std::llround(seconds));
    for (const plan::Step& step : plan_.work.steps) {
      for (int unit = 1; unit <= plan_.head.lot; ++unit) tell_cell(step, unit);
    }
    for (int unit = 1; unit <= plan_.head.lot; ++unit) {
      if (!state_.in_lot(unit)) out_.scrapped.insert(unit);
    }
    for (const record::Away& away : state_.away) {
      const auto left = Duration(std::llround(away.seconds - record::elapsed(away.from, now_, state_.gaps).least_s));
      if (left.seconds > 0) out_.away[away.resource] = left;
    }
    for (const plan::Constraint& link : plan_.work.constraints) {
      if (link.spoils && !out_.rests_on.contains(link.from.step)) out_.rests_on[link.from.step] = record::downstream(plan_, link.from.step);
    }
    return std::move(out_);
  }

 private:
  /// What a clock claims beyond the time that surely went by.
  Duration unseen(const Moment& moment) const {
    const record::Elapsed gone = record::elapsed(moment, now_, state_.gaps);
    return Duration(static_cast<std::int64_t>(gone.most_s) - static_cast<std::int64_t>(gone.least_s));
  }

  Instant instant_of(const Moment& moment) const {
    return out_.now - Duration(static_cast<std::int64_t>(record::elapsed(moment, now_, state_.gaps).least_s));
  }

  void add(pipeline::Done done, const Moment& start, const Moment& end, std::vector<pipeline::Done>& to) {
    done.unseen_start = unseen(start);
    done.unseen_end = unseen(end);
    to.push_back(std::move(done));
  }

  void tell_cell(const plan::Step& step, int unit) {
    const Cell* cell = record::cell_of(state_, step, unit);
    if (cell != nullptr && cell->last_done && cell->stand != Stand::done) {
      const Instant at = instant_of(*cell->last_done);
      add({step.id, unit, at, at, {}}, *cell->last_done, *cell->last_done, out_.earlier);
    }
    if (cell == nullptr || (!cell->start && !cell->done)) return;
    const Moment begun = cell->start ? *cell->start : *cell->done, ended = cell->done ? *cell->done : begun;
    const Instant start = instant_of(begun);
    if (cell->stand == Stand::done) add({step.id, unit, start, instant_of(ended), {}}, begun, ended, out_.done);
    if (!state_.in_lot(unit) && !step.timing.whole_lot && cell->stand != Stand::done) {
      const Moment& out = state_.units[static_cast<std::size_t>(unit - 1)].scrapped_at;
      add({step.id, unit, start, instant_of(out), {}}, begun, out, out_.done);
      return;
    }
    if (cell->stand == Stand::started) {
      const Instant free = std::max(out_.now, start + hands(step, *cell));
      const Instant hands_end = step.timing.hands_on ? free : start + step.timing.setup;
      add({step.id, unit, start, free + step.timing.unattended, hands_end > out_.now ? hands_end : Instant{}}, begun, now_, out_.done);
    }
    if (cell->stand == Stand::running && !was_cut(step.id, unit)) add({step.id, unit, start, std::max(out_.now, instant_of(cell->leave ? *cell->leave : *cell->start) + step.timing.unattended), {}}, begun, now_, out_.done);
  }

  /// What a station let go in its run is to be done again.
  bool was_cut(const StepId& step, int unit) const {
    return std::any_of(cut_.begin(), cut_.end(), [&](const record::CutRun& c) {
      return c.step == step && std::any_of(c.units.begin(), c.units.end(), [&](int n) { return n == 0 || n == unit; });
    });
  }

  /// Hands-on time of everything that was begun with this cell.
  Duration hands(const plan::Step& step, const Cell& cell) const {
    const auto own = out_.own_run_times.find(step.id);
    const Duration run = own == out_.own_run_times.end() ? step.timing.run : own->second;
    if (!step.timing.run_per_unit || step.timing.whole_lot) return step.timing.setup + run;
    const auto together = std::count_if(state_.cells.begin(), state_.cells.end(), [&](const auto& other) {
      return other.first.first == step.id && other.second.stand == Stand::started && other.second.start && other.second.start->ran_ms == cell.start->ran_ms;
    });
    return step.timing.setup + run * together;
  }

  const plan::Plan& plan_;
  const State& state_;
  const Moment now_;
  const std::vector<record::CutRun> cut_ = record::cut_runs(plan_, state_);
  pipeline::Progress out_;
};

}  // namespace

pipeline::Progress progress_of(const plan::Plan& plan, const State& state, const Moment& now) {
  return Teller(plan, state, now).tell();
}

namespace {
constexpr double kSoon = 0.8;  // CPU seconds: the builder stands at the bench and waits
}

bench::Replan replan_of(const pipeline::Outcome& outcome, double seconds) {
  return [plan = outcome.plan, job = outcome.job, seconds](const State& state, const Moment& now) {
    pipeline::Progress progress = progress_of(plan, state, now);
    progress.hours = pipeline::hours_from(job, plan.work, progress.now);
    progress.absences = pipeline::absences_in(job, progress.hours);
    auto next = pipeline::replan(plan, progress, std::min(kSoon, seconds));
    if (next && next->schedule.status == plan::Schedule::Status::stopped) next = pipeline::replan(plan, progress, seconds);
    return next;
  };
}

}  // namespace handlot::cli
