#include "engine/state.h"

#include <algorithm>

namespace handlot::engine {

Var State::add_variable(std::int32_t low, std::int32_t high) {
  sleepers_.add({});
  sleepers_.add({});
  return trail_.add_variable(low, high);
}

std::int32_t State::add(std::unique_ptr<Propagator> propagator, std::int32_t rank) {
  assert(rank >= 0 && rank < kRanks);
  const std::int32_t number = propagators_.count();
  propagators_.add({std::move(propagator), rank, true});
  queue_[rank].push_back(number);
  return number;
}

std::int32_t State::add_prompt(std::unique_ptr<Propagator> propagator) {
  const std::int32_t number = propagators_.count();
  propagators_.add({std::move(propagator), 0, false});
  prompt_.push_back(number);
  return number;
}

bool State::set(Literal l, Reason reason) {
  if (trail_.holds(l)) return true;
  if (!trail_.fails(l)) {
    trail_.raise(l, reason);
    return true;
  }
  // Enough to clash is the weakest bound that the other side forbids; asking for no more gives a wider
  // reason.
  const Literal enough{l.view, 1 - trail_.low(opposite(l.view))};
  std::vector<Literal> because;
  because.push_back({opposite(l.view), trail_.low(opposite(l.view))});
  if (reason.source >= 0)
    propagators_[reason.source].work->explain(trail_, enough, trail_.count(), reason, because);
  return clash(because);
}

bool State::set_because(Literal l, std::span<const Literal> because) {
  if (trail_.holds(l)) return true;
  if (trail_.fails(l)) {
    std::vector<Literal> all(because.begin(), because.end());
    all.push_back(~l);
    return clash(all);
  }
  const std::int32_t begin = written_.count();
  for (const Literal b : because) written_.add(b);
  written_at_.add({begin, written_.count(), trail_.count()});
  trail_.raise(l, {Reason::kWritten, written_at_.count() - 1});
  return true;
}

bool State::clash(std::span<const Literal> because) {
  conflict_.assign(because.begin(), because.end());
  return false;
}

void State::queue_sleepers(View view) {
  for (const std::int32_t number : sleepers_[view]) {
    Member& member = propagators_[number];
    if (member.queued) continue;
    member.queued = true;
    queue_[member.rank].push_back(number);
  }
}

bool State::run_prompt() {
  while (heard_ < trail_.count()) {
    if (out_of_patience()) return false;
    const Entry entry = trail_[heard_++];  // a copy: the trail grows underneath
    queue_sleepers(entry.made.view);
    for (const std::int32_t number : prompt_)
      if (!propagators_[number].work->on_raise(*this, entry)) return false;
  }
  return true;
}

void State::empty_queue() {
  for (auto& queue : queue_) {
    for (const std::int32_t number : queue) propagators_[number].queued = false;
    queue.clear();
  }
}

void State::be_patient(std::int64_t raises, const Stopwatch& watch, double cpu_seconds) {
  patience_ = {raises, &watch, cpu_seconds};
  look_at_ = std::min(raises, trail_.raised());
  gave_up_ = false;
}

bool State::out_of_patience() {
  constexpr std::int64_t kLookEvery = 1 << 14;
  if (trail_.raised() < look_at_) return false;
  gave_up_ = trail_.raised() >= patience_.raises || patience_.watch->cpu_seconds() >= patience_.cpu_seconds;
  look_at_ = std::min(patience_.raises, trail_.raised() + kLookEvery);
  return gave_up_;
}

bool State::propagate() {
  while (true) {
    if (!run_prompt()) break;
    std::int32_t rank = 0;
    while (rank < kRanks && queue_[rank].empty()) ++rank;
    if (rank == kRanks) return true;
    const std::int32_t number = queue_[rank].back();
    queue_[rank].pop_back();
    propagators_[number].queued = false;
    if (!propagators_[number].work->propagate(*this)) break;
  }
  if (!gave_up_) empty_queue();
  return false;
}

void State::explain(Literal what, std::int32_t position, std::vector<Literal>& because) const {
  const Reason reason = trail_[position].reason;
  assert(reason.source != Reason::kDecision);
  if (reason.source == Reason::kWritten) {
    const Written& at = written_at_[reason.datum];
    because.insert(because.end(), written_.data() + at.begin, written_.data() + at.end);
    return;
  }
  [[maybe_unused]] const auto given = static_cast<std::ptrdiff_t>(because.size());
  propagators_[reason.source].work->explain(trail_, what, position, reason, because);
  assert(std::all_of(because.begin() + given, because.end(),
                     [&](Literal l) { return trail_.held_before(l, position); }));
}

void State::decide(Literal l) {
  trail_.open_level();
  trail_.raise(l, {Reason::kDecision, 0});
}

void State::back_to(std::int32_t level) {
  if (trail_.level() <= level) return;  // and leave queued what was posted since
  trail_.back_to(level);
  heard_ = std::min(heard_, trail_.count());
  while (!written_at_.empty() && written_at_.back().entry >= trail_.count()) {
    written_.resize(written_at_.back().begin);
    written_at_.drop_last();
  }
  empty_queue();
}

void State::settle() {
  assert(heard_ == trail_.count());
  trail_.settle();
  heard_ = 0;
  written_.clear();
  written_at_.clear();
}

}  // namespace handlot::engine
