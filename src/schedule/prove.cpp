#include "schedule/prove.h"

#include <algorithm>

#include "schedule/step_load.h"

namespace handlot::schedule {

namespace {

std::int32_t whole(Time t) {
  return static_cast<std::int32_t>(std::clamp<Time>(t, -engine::kFar, engine::kFar));
}

}  // namespace

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
            const std::vector<bool>& moves, Time horizon, const engine::Limits& limits, std::uint64_t seed,
            const std::function<void(const Solution&)>& better) {
  Question question;
  question.sizes = sizes;
  question.latest_finish = known != nullptr ? known->score.finish : horizon;
  question.near = known;
  question.moves = moves;
  Model model(work, question, seed);
  engine::Solver& solver = model.solver();
  Proof proof;
  std::vector<engine::Literal> assume;
  if (known != nullptr) assume.push_back(engine::at_most(model.finish(), whole(known->score.finish - 1)));
  const engine::Answer sooner =
      solver.minimise(model.finish(), assume, limits, [&](const engine::Answer& answer) {
        proof.best = model.read(answer);
        if (better) better(*proof.best);
      });
  proof.conflicts = sooner.effort.conflicts;
  proof.closed = model.exact() &&
                 (sooner.status == engine::Status::optimal || sooner.status == engine::Status::infeasible);
  proof.bound = sooner.bound;
  const Solution* base = proof.best ? &*proof.best : known;
  if (!proof.closed || base == nullptr) return proof;
  proof.bound = base->score.finish;
  // The same finish with fewer set-ups.
  const engine::Literal at_finish[] = {engine::at_most(model.finish(), whole(base->score.finish)),
                                       engine::at_most(model.setups(), base->score.setups - 1)};
  engine::Limits rest = limits;
  rest.conflicts -= proof.conflicts;
  rest.cpu_seconds -= sooner.effort.cpu_seconds;
  const engine::Answer fewer = solver.minimise(model.setups(), at_finish, rest);
  proof.conflicts += fewer.effort.conflicts;
  if (fewer.solved()) proof.best = model.read(fewer);
  return proof;
}

}  // namespace handlot::schedule
