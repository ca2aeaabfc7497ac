#include "schedule/solve.h"

#include <fmt/format.h>

#include <algorithm>
#include <ctime>
#include <optional>

#include "core/text.h"
#include "schedule/bounds.h"
#include "schedule/clash.h"
#include "schedule/faults.h"
#include "schedule/prove.h"
#include "schedule/push_left.h"
#include "schedule/relief.h"
#include "schedule/serial.h"
#include "schedule/size_search.h"
#include "schedule/sizes.h"
#include "schedule/tasks.h"
#include "schedule/time_to_spare.h"

namespace handlot::schedule {

namespace {

constexpr std::size_t kFewerSetups =
    150;  ///< operations whose set-ups are counted down after the finish is proven
constexpr std::size_t kWholeModel = 400;  ///< operations that are given to the engine all at once

/// The answer to work that has faults. Where a shop can be too small, a larger one is tried.
plan::Schedule refused(const plan::Work& work, std::vector<plan::Reason> clash, const Limits& limits,
                       std::uint64_t seed) {
  plan::Schedule out;
  out.status = plan::Schedule::Status::infeasible;
  out.start = out.finish = work.start;
  const bool sound = std::none_of(clash.begin(), clash.end(), [](const plan::Reason& r) {
    return r.rule.text == "schedule-names" || r.rule.text == "schedule-units" ||
           r.rule.text == "schedule-numbers";
  });
  out.clash = std::move(clash);
  if (sound && limits.reliefs) out.reliefs = reliefs(work, nullptr, limits, seed);
  return out;
}

/// One search: serial, then the learning engine on the whole question, then what is to be told. `asked` is the same work, in
/// whose words it is told.
class Solving {
 public:
  Solving(const plan::Work& work, const plan::Work& asked, const Limits& limits, std::uint64_t seed, const Tell& tell)
      : work_(work),
        asked_(asked),
        limits_(limits),
        seed_(seed),
        tell_(tell),
        bound_(lower_bounds(work).front().makespan.seconds),
        search_(work, limits, seed, bound_, size_choices(asked)) {}

  plan::Schedule run() {
    search();
    return told();
  }

  /// For where another try follows: what is in the way of this one need not be told.
  plan::Schedule run_or_nothing() {
    search();
    return search_.best() ? told() : plan::Schedule{};
  }

 private:
  void search() {
    search_.run([&](const Solution& s) { say(s); });
    if (!search_.done() || slots() <= kFewerSetups) learn();
    // What the engine closes needs no more tries.
    if (search_.best() && search_.best()->score.finish > bound_) search_.cut_evenly([&](const Solution& s) { say(s); });
    search_.stay_with_steps();
  }

  void say(const Solution& s) const {
    if (tell_) tell_({Duration(s.score.finish), Duration(bound_)});
  }

  /// Limits for what is tried after the answer is known: a small share of the seconds in any case.
  Limits left() const {
    Limits rest = limits_;
    rest.seconds = std::max(limits_.seconds / 8, limits_.seconds - search_.seconds());
    return rest;
  }

  std::size_t slots() const {
    std::size_t sum = 0;
    for (const plan::Step& step : work_.steps)
      sum += step.timing.whole_lot ? 1 : static_cast<std::size_t>(work_.units);
    return sum;
  }

  void learn() {
    if (slots() > kWholeModel) return;
    std::vector<std::vector<int>> sizes;
    for (const SizeChoice& choice : search_.choices()) sizes.push_back(choice.possible);
    const Solution* known = search_.best() ? &*search_.best() : nullptr;
    const engine::Limits rest{limits_.conflicts, std::max(0.1, limits_.seconds - search_.seconds()), limits_.raises};
    const Proof proof = prove(work_, sizes, known, {}, bound_, horizon_of(work_), rest, seed_,
                              [&](const Solution& s) { say(s); });
    if (!proof.closed) {
      stopped_by_ = proof.conflicts >= limits_.conflicts ? fmt::format("{} conflicts", limits_.conflicts)
                    : proof.raises >= limits_.raises     ? fmt::format("{} raised bounds", limits_.raises)
                                                         : fmt::format("{} s", number(limits_.seconds));
    }
    if (proof.best) search_.adopt(*proof.best);
    if (proof.bound < kNever) bound_ = std::max(bound_, proof.bound);
    impossible_ = proof.closed && !search_.best();
    if (proof.closed && search_.best()) bound_ = search_.best()->score.finish;
  }

  /// The engine says when everything ends and not that nothing waits. What it leaves is pushed together and its clocks started
  /// late, as far as the law has nothing against it.
  plan::Schedule without_needless_waits(const Solution& found) const {
    plan::Schedule out = in_words(asked_, found.set, found.placement);
    if (found.set.tasks.size() > kWholeModel) return out;
    const Precedence precedence(found.set);
    Placement placement = found.placement;
    for (const auto better : {&push_left, &start_clocks_late}) {
      const Placement moved = better(found.set, precedence, placement);
      plan::Schedule tried = in_words(asked_, found.set, moved);
      if (!keeps_the_law(work_, tried)) continue;
      out = std::move(tried);
      placement = moved;
    }
    return out;
  }

  plan::Schedule told() {
    plan::Schedule out;
    out.start = out.finish = work_.start;
    if (impossible_) {
      out.status = plan::Schedule::Status::infeasible;
      out.clash = smallest_clash(work_, search_.choices(), {limits_.conflicts, left().seconds});
      if (limits_.reliefs) out.reliefs = reliefs(work_, nullptr, left(), seed_);
      return out;
    }
    if (search_.best()) {
      out = without_needless_waits(*search_.best());
      const bool closed = search_.best()->score.finish <= bound_;
      out.status = closed ? plan::Schedule::Status::optimal : plan::Schedule::Status::feasible;
      if (limits_.costs) out.batches = search_.batch_costs();
      if (limits_.costs && limits_.reliefs && search_.seconds() < limits_.seconds)
        out.reliefs = reliefs(work_, &*search_.best(), left(), seed_);
    }
    if (!search_.best()) out.clash = latest_ends_in_the_way(work_, left(), seed_);
    out.bound = Duration(bound_);
    if (out.status == plan::Schedule::Status::optimal) return out;
    out.stopped_by = !stopped_by_.empty() ? stopped_by_
                     : search_.done()     ? fmt::format("a finish within {} % of that", number(100 * limits_.gap, 2))
                                          : search_.stopped_by();
    if (out.stopped_by.empty()) out.stopped_by = "the serial search";
    return out;
  }

  const plan::Work& work_;
  const plan::Work& asked_;
  Limits limits_;
  std::uint64_t seed_;
  const Tell& tell_;
  Time bound_;
  SizeSearch search_;
  std::string stopped_by_;
  bool impossible_ = false;
};

/// Without operations where clocks leave no time to spare.
plan::Schedule with_spare(const plan::Work& work, const Limits& limits, std::uint64_t seed, const Tell& tell) {
  const plan::Work sooner = with_time_to_spare(work);
  if (!faults(sooner).empty()) return {};
  return Solving(sooner, work, limits, seed, tell).run_or_nothing();
}

}  // namespace

plan::Schedule solve(const plan::Work& work, const Limits& limits, std::uint64_t seed, const Tell& tell) {
  if (auto clash = faults(work); !clash.empty()) return refused(work, std::move(clash), limits, seed);
  if (limits.spare) {
    plan::Schedule made = with_spare(work, limits, seed, tell);
    if (!made.operations.empty()) return made;
  }
  return Solving(work, work, limits, seed, tell).run();
}

}  // namespace handlot::schedule
