#include "schedule/prove.h"

#include <algorithm>
#include <numeric>

#include "schedule/check.h"
#include "schedule/step_load.h"

namespace handlot::schedule {

namespace {

constexpr int kShareForSetups = 8;

struct Spent {
  engine::Stopwatch watch;
};

/// All times of the work are whole multiples of this, and so is the soonest finish: in the earliest schedule
/// of any one order every moment is a sum of them.
Time grid_of(const plan::Work& work) {
  Time grid = 0;
  const auto add = [&](Time t) { grid = std::gcd(grid, t); };
  for (const plan::Interval& i : work.hours) {
    add((i.open - work.start).seconds);
    add((i.close - work.start).seconds);
  }
  for (const plan::Resource& r : work.resources) {
    for (const Duration d : {r.warm_up, r.stays_warm, r.change_over}) add(d.seconds);
    if (r.used_until) add((*r.used_until - work.start).seconds);
    for (const plan::Interval& away : r.away) {
      add((away.open - work.start).seconds);
      add((away.close - work.start).seconds);
    }
  }
  for (const plan::Step& s : work.steps) {
    const plan::Timing& t = s.timing;
    for (const Duration d : {t.setup, t.run, t.unattended, t.first_piece_check}) add(d.seconds);
    for (const plan::Use& use : t.uses) add(use.hold_after_end.seconds);
  }
  for (const plan::Constraint& c : work.constraints) {
    add(c.min.seconds);
    if (c.max) add(c.max->seconds);
  }
  for (const plan::NeverTogether& pair : work.apart) {
    add(pair.clear_after_a.seconds);
    add(pair.clear_after_b.seconds);
  }
  return std::max<Time>(grid, 1);
}

/// What the engine answers is held against the law once more: the model is large, and the checker knows nothing of it.
bool keeps(const plan::Work& work, const Solution& solution) { return keeps_the_law(work, in_words(work, solution.set, solution.placement)); }

/// Asks for a finish half way between what is proven and what is known, again and again; for one just sooner
/// than the known where half way was too much to ask.
Spent shorten(const plan::Work& work, Model& model, Proof& proof, const Solution* known, Time low, Time grid,
              const engine::Limits& limits, const std::function<void(const Solution&)>& better) {
  constexpr std::int64_t kOneTry = 1000;
  Spent spent;
  Time best = known != nullptr ? known->score.finish : kNever;
  proof.bound = low;
  std::int64_t share = kOneTry;
  for (Time step = 2; proof.bound < best;) {
    const Time target = best == kNever
                            ? kNever
                            : std::max(proof.bound, best - std::max<Time>(1, (best - proof.bound) / step));
    engine::Limits one{std::min(share, limits.conflicts - proof.conflicts),
                       limits.cpu_seconds - spent.watch.cpu_seconds(), limits.raises - proof.raises};
    if (best == kNever) one.conflicts = limits.conflicts - proof.conflicts;
    if (one.conflicts <= 0 || one.cpu_seconds <= 0 || one.raises <= 0) return spent;
    const engine::Literal by[] = {engine::at_most(model.finish(), whole(target))};
    const engine::Answer answer = model.solver().solve(by, one);
    proof.conflicts += answer.effort.conflicts;
    proof.raises += answer.effort.raises;
    if (answer.solved()) {
      Solution found = model.read(answer);
      if (!keeps(work, found)) return spent;
      proof.best = std::move(found);
      best = proof.best->score.finish;
      if (better) better(*proof.best);
    } else if (answer.status == engine::Status::infeasible) {
      proof.bound = target >= kNever ? kNever : (target / grid + 1) * grid;
      if (best == kNever) break;
    } else {
      // Too much to ask: ask for less, and where that is already as little as can be, for longer.
      const bool least = target >= best - grid;
      step = least ? 2 : step * 4;
      share = least ? share * 2 : share;
    }
  }
  proof.closed = true;
  return spent;
}

}  // namespace

bool keeps_the_law(const plan::Work& work, plan::Schedule schedule) {
  schedule.bound = schedule.makespan;
  return check(work, schedule).empty();
}

Time horizon_of(const plan::Work& work) {
  const ShopHours hours(work.hours, work.start);
  Time horizon = hours.spans().empty() ? 0 : hours.spans().back().close;
  for (const plan::Resource& r : work.resources) horizon += r.warm_up.seconds;
  for (const plan::Step& step : work.steps) {
    Time alone = 0;
    for (int unit = 1; unit <= work.units; ++unit) alone += alone_of(step.timing, {1, 1});
    horizon += std::max(alone, alone_of(step.timing, {1, work.units}));
  }
  for (const plan::Constraint& c : work.constraints) horizon += std::max<Time>(0, c.min.seconds);
  for (const plan::NeverTogether& pair : work.apart) {
    horizon += work.units * (pair.clear_after_a + pair.clear_after_b).seconds;
  }
  return std::min<Time>(horizon, engine::kFar / 4);
}

Proof prove(const plan::Work& work, const std::vector<std::vector<int>>& sizes, const Solution* known,
            const std::vector<bool>& moves, Time low, Time horizon, const engine::Limits& limits,
            std::uint64_t seed, const std::function<void(const Solution&)>& better) {
  Question question;
  question.sizes = sizes;
  question.latest_finish = known != nullptr ? known->score.finish : horizon;
  question.near = known;
  question.moves = moves;
  Model model(work, question, seed);
  engine::Solver& solver = model.solver();
  Proof proof;
  const Spent spent = shorten(work, model, proof, known, low, grid_of(work), limits, better);
  if (!model.exact()) {
    proof.closed = false;
    proof.bound = low;
  }
  const Solution* base = proof.best ? &*proof.best : known;
  if (base == nullptr) return proof;
  if (proof.closed) proof.bound = base->score.finish;
  // The same finish with fewer set-ups; a share of the limits is left for that where the finish is not proven.
  const engine::Literal at_finish[] = {engine::at_most(model.finish(), whole(base->score.finish)),
                                       engine::at_most(model.setups(), base->score.setups - 1)};
  engine::Limits rest = limits;
  rest.conflicts = std::max(limits.conflicts - proof.conflicts, limits.conflicts / kShareForSetups);
  rest.raises = std::max(limits.raises - proof.raises, limits.raises / kShareForSetups);
  rest.cpu_seconds = std::max(limits.cpu_seconds - spent.watch.cpu_seconds(), limits.cpu_seconds / kShareForSetups);
  const engine::Answer fewer = solver.minimise(model.setups(), at_finish, rest);
  proof.conflicts += fewer.effort.conflicts;
  if (!fewer.solved()) return proof;
  Solution found = model.read(fewer);
  if (keeps(work, found)) proof.best = std::move(found);
  return proof;
}

}  // namespace handlot::schedule
