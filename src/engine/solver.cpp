#include "engine/solver.h"

#include <algorithm>

namespace handlot::engine {

Solver::Solver(std::uint64_t seed) : branching_(seed) {
  auto lags = std::make_unique<Lags>();
  lags_ = lags.get();
  lags_->enlist(state_.add_prompt(std::move(lags)));
  auto clauses = std::make_unique<Clauses>();
  clauses_ = clauses.get();
  const std::int32_t number = state_.add_prompt(std::move(clauses));
  clauses_->enlist(number);
  analysis_.clauses_are(number);
}

Var Solver::integer(std::int32_t low, std::int32_t high, Turn turn) {
  const Var x = state_.add_variable(low, high);
  in_turn_[static_cast<std::int32_t>(turn)].add(x, low == 0 && high == 1);
  return x;
}

Literal Solver::boolean(Turn turn) {
  return at_least(integer(0, 1, turn), 1);
}

void Solver::clause(std::vector<Literal> literals) {
  contradiction_ = contradiction_ || !clauses_->add(state_, std::move(literals));
}

void Solver::lag(Var from, Var to, std::int32_t lag, Literal when) {
  contradiction_ = contradiction_ || !lags_->add(state_, {from, to, lag, when});
}

Literal Solver::all_of(std::vector<Literal> literals) {
  std::erase(literals, kAlways);
  if (literals.empty()) return kAlways;
  if (literals.size() == 1) return literals[0];
  const Literal all = boolean();
  for (Literal& l : literals) l = ~l;
  literals.push_back(all);
  clause(std::move(literals));
  return all;
}

bool Solver::rest_at_root() {
  back_to(0);
  if (contradiction_) return false;
  const bool rests = state_.propagate();
  contradiction_ = !rests && !state_.gave_up();
  if (rests) state_.settle();
  return rests;
}

void Solver::back_to(std::int32_t level) {
  state_.back_to(level);
  branching_.back_to(level);
  for (InTurn& turn : in_turn_) turn.back_to(level);
}

namespace {

// The reluctant doubling sequence 1 1 2 1 1 2 4 ... (Luby, Sinclair, Zuckerman 1993).
std::int64_t luby(std::int64_t i) {
  std::int64_t size = 1;
  std::int64_t power = 0;
  while (size < i + 1) {
    size = 2 * size + 1;
    ++power;
  }
  while (size - 1 != i) {
    size = (size - 1) / 2;
    --power;
    i %= size;
  }
  return std::int64_t{1} << power;
}

constexpr std::int64_t kRestartUnit = 250;

}  // namespace

void Solver::restart() {
  back_to(0);
  ++restarts_;
}

bool Solver::out_of(const Limits& limits, const Stopwatch& watch, const Effort& effort) {
  if (effort.conflicts >= limits.conflicts || state_.trail().raised() >= raises_end_) return true;
  const bool look = (effort.conflicts + effort.decisions) % 64 == 0;
  return look && watch.cpu_seconds() >= limits.cpu_seconds;
}

bool Solver::learn_from_conflict(std::span<const Literal> assumptions, Answer& answer) {
  const Lesson& lesson = analysis_.learn(state_, state_.conflict());
  if (lesson.impossible) {
    contradiction_ = true;
    answer.clash.clear();
    return false;
  }
  (void)assumptions;
  if (on_learnt) on_learnt(lesson.clause);
  for (const Literal l : analysis_.met()) branching_.meet(l);
  for (const std::int32_t c : analysis_.clauses_used()) clauses_->praise(c);
  branching_.fade();
  clauses_->fade_praise();
  back_to(lesson.back_to);
  clauses_->learn(state_, lesson.clause, lesson.levels);
  return true;
}

Literal Solver::in_turn() {
  for (InTurn& turn : in_turn_) {
    const Var next = turn.next(state_.trail());
    if (next.index >= 0) return at_most(next, state_.trail().low(next));
  }
  return kAlways;
}

Solver::Step Solver::decide_next(std::span<const Literal> assumptions, Answer& answer) {
  const Trail& trail = state_.trail();
  while (trail.level() < static_cast<std::int32_t>(assumptions.size())) {
    const Literal a = assumptions[static_cast<std::size_t>(trail.level())];
    if (trail.fails(a)) {
      const Literal against[] = {~a};
      answer.clash = analysis_.decisions_behind(state_, against);
      answer.clash.push_back(a);
      return Step::refuted;
    }
    if (!trail.holds(a)) {
      state_.decide(a);
      return Step::decided;
    }
    state_.open_level();  // an empty level, so that level k always belongs to assumption k
  }
  Literal next = branching_.next(trail);
  if (next == kAlways) next = in_turn();
  if (next == kAlways) return Step::solution;
  state_.decide(next);
  return Step::decided;
}

Solver::End Solver::no_rest(Answer& answer) const {
  if (!contradiction_) return End::limit;
  answer.clash.clear();
  return End::infeasible;
}

Solver::End Solver::search(std::span<const Literal> assumptions, const Limits& limits, const Stopwatch& watch,
                           Answer& answer) {
  state_.be_patient(raises_end_, watch, limits.cpu_seconds);
  const End end = search_patiently(assumptions, limits, watch, answer);
  state_.be_patient();
  return end;
}

Solver::End Solver::search_patiently(std::span<const Literal> assumptions, const Limits& limits,
                                     const Stopwatch& watch, Answer& answer) {
  if (!rest_at_root()) return no_rest(answer);
  std::int64_t left = kRestartUnit * luby(restarts_);
  while (true) {
    if (!state_.propagate()) {
      if (state_.gave_up()) return End::limit;
      ++answer.effort.conflicts;
      --left;
      if (!learn_from_conflict(assumptions, answer)) return End::infeasible;
      if (answer.effort.conflicts >= limits.conflicts || state_.trail().raised() >= raises_end_) return End::limit;
      // One conflict may take a second where times creep past one another, and many may come in a row.
      if (watch.cpu_seconds() >= limits.cpu_seconds) return End::limit;
      continue;
    }
    if (out_of(limits, watch, answer.effort)) return End::limit;
    if (left <= 0) {
      restart();
      ++answer.effort.restarts;
      if (!rest_at_root()) return no_rest(answer);
      if (clauses_->learnt() >= tidy_at_) {
        clauses_->tidy(state_.trail(), true);
        branching_.tidy(state_.trail());
        tidy_at_ += 500;
      }
      left = kRestartUnit * luby(restarts_);
    }
    ++answer.effort.decisions;
    const Step step = decide_next(assumptions, answer);
    if (step == Step::refuted) return End::infeasible;
    if (step == Step::solution) return take_solution(answer), End::solution;
  }
}

void Solver::take_solution(Answer& answer) {
  const Trail& trail = state_.trail();
  answer.values.clear();
  for (std::int32_t i = 0; i < trail.views() / 2; ++i) {
    answer.values.push_back(trail.low(Var{i}));
    branching_.remember(Var{i}, answer.values.back());
  }
}

std::int64_t Solver::count_raises(const Limits& limits) {
  const std::int64_t from = state_.trail().raised();
  raises_end_ = limits.raises < std::numeric_limits<std::int64_t>::max() - from ? from + limits.raises : std::numeric_limits<std::int64_t>::max();
  return from;
}

Answer Solver::solve(std::span<const Literal> assumptions, Limits limits) {
  const Stopwatch watch;
  const std::int64_t raised = count_raises(limits);
  Answer answer;
  const End end = search(assumptions, limits, watch, answer);
  back_to(0);
  answer.status = end == End::solution     ? Status::feasible
                  : end == End::infeasible ? Status::infeasible
                                           : Status::stopped;
  answer.effort.cpu_seconds = watch.cpu_seconds();
  answer.effort.raises = state_.trail().raised() - raised;
  return answer;
}

Answer Solver::minimise(Var objective, std::span<const Literal> assumptions, Limits limits,
                        const std::function<void(const Answer&)>& on_better) {
  const Stopwatch watch;
  const std::int64_t raised = count_raises(limits);
  Answer answer;
  std::vector<Literal> all(assumptions.begin(), assumptions.end());
  End end = search(all, limits, watch, answer);
  all.push_back(kAlways);
  while (end == End::solution) {
    back_to(0);
    answer.effort.cpu_seconds = watch.cpu_seconds();
    answer.status = Status::feasible;
    answer.bound = low(objective);
    if (on_better) on_better(answer);
    all.back() = at_most(objective, answer.value(objective) - 1);
    end = search(all, limits, watch, answer);
  }
  back_to(0);
  answer.bound = contradiction_ ? answer.bound : low(objective);
  if (end == End::infeasible) {
    answer.status = answer.solved() ? Status::optimal : Status::infeasible;
    if (answer.solved()) answer.bound = answer.value(objective);
  } else {
    answer.status = answer.solved() ? Status::feasible : Status::stopped;
  }
  answer.effort.cpu_seconds = watch.cpu_seconds();
  answer.effort.raises = state_.trail().raised() - raised;
  return answer;
}

}  // namespace handlot::engine
