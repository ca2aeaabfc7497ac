#include "schedule/size_search.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <ctime>

#include "core/text.h"

namespace handlot::schedule {

namespace {

constexpr Time kNoUrgency = -1;
constexpr Time kShortClock = 12 * 3600;
constexpr int kRepairsPerTask = 4;
constexpr int kShakes = 200;

double cpu_seconds() {
  return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

/// splitmix64: a seed in, the same numbers out everywhere.
std::uint64_t next_random(std::uint64_t& state) {
  std::uint64_t z = (state += 0x9E3779B97F4A7C15ULL);
  z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
  z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
  return z ^ (z >> 31);
}

}  // namespace

SizeSearch::SizeSearch(const plan::Work& work, const Limits& limits, std::uint64_t seed, Duration bound)
    : work_(work),
      limits_(limits),
      random_(seed),
      bound_(bound.seconds),
      choices_(size_choices(work)),
      begun_(cpu_seconds()) {}

bool SizeSearch::spent() {
  if (placements_ >= limits_.placements) {
    stopped_by_ = fmt::format("{} placements", limits_.placements);
  } else if (cpu_seconds() - begun_ >= limits_.seconds) {
    stopped_by_ = fmt::format("{} s", number(limits_.seconds));
  }
  return !stopped_by_.empty();
}

std::optional<Solution> SizeSearch::try_sizes(const std::vector<int>& sizes, const std::vector<Time>* noise) {
  std::optional<Solution> best;
  TaskSet set = cut(work_, sizes);
  Rule rule{tails(set), kNever};
  if (noise != nullptr) {
    for (std::size_t t = 0; t < rule.rank.size(); ++t) rule.rank[t] += (*noise)[t % noise->size()];
  }
  for (const Time urgent : {kNever, kShortClock, kNoUrgency}) {
    rule.urgent_within = urgent;
    placements_ += static_cast<std::int64_t>(set.tasks.size());
    auto placement = place_serially(set, rule, kRepairsPerTask * static_cast<int>(set.tasks.size()));
    if (!placement) continue;
    const Score score = score_of(set, *placement);
    if (!best || score < best->score) best = Solution{sizes, set, std::move(*placement), score};
  }
  return best;
}

bool SizeSearch::consider(std::optional<Solution> solution, const std::function<void(Duration)>& better) {
  if (!solution || (best_ && best_->score <= solution->score)) return false;
  best_ = std::move(solution);
  better(Duration(best_->score.finish));
  return true;
}

void SizeSearch::descend(const std::function<void(Duration)>& better) {
  for (bool moved = true; moved;) {
    moved = false;
    for (std::size_t s = 0; s < choices_.size(); ++s) {
      if (choices_[s].possible.size() < 2) continue;
      for (const int size : choices_[s].possible) {
        if (spent()) return;
        std::vector<int> sizes = best_->sizes;
        if (sizes[s] == size) continue;
        sizes[s] = size;
        moved = consider(try_sizes(sizes, nullptr), better) || moved;
      }
    }
  }
}

void SizeSearch::shake(const std::function<void(Duration)>& better) {
  for (int i = 0; i < kShakes && !done() && !spent(); ++i) {
    std::vector<Time> noise(best_->set.tasks.size());
    const auto spread = static_cast<std::uint64_t>(std::max<Time>(1, best_->score.finish / 8));
    for (Time& one : noise) one = static_cast<Time>(next_random(random_) % spread);
    consider(try_sizes(best_->sizes, &noise), better);
  }
}

void SizeSearch::run(const std::function<void(Duration)>& better) {
  std::array<std::vector<int>, 3> cuts;
  for (const SizeChoice& choice : choices_) {
    cuts[0].push_back(choice.possible.back());
    cuts[1].push_back(choice.possible.front());
    cuts[2].push_back(choice.possible[choice.possible.size() / 2]);
  }
  for (const auto& sizes : cuts) {
    if (!done() && !spent()) consider(try_sizes(sizes, nullptr), better);
  }
  if (!best_) {
    if (stopped_by_.empty()) stopped_by_ = "the serial search";
    return;
  }
  descend(better);
  shake(better);
  if (stopped_by_.empty() && !done()) stopped_by_ = fmt::format("{} orders tried", kShakes);
}

std::vector<plan::BatchCost> SizeSearch::batch_costs() {
  std::vector<plan::BatchCost> costs;
  for (std::size_t s = 0; s < choices_.size(); ++s) {
    const plan::Timing& timing = work_.steps[s].timing;
    if (timing.whole_lot || work_.units == 1) continue;
    std::vector<int> shown{choices_[s].possible.front(), best_->sizes[s], choices_[s].possible.back()};
    std::sort(shown.begin(), shown.end());
    shown.erase(std::unique(shown.begin(), shown.end()), shown.end());
    for (const int size : shown) {
      plan::BatchCost cost{work_.steps[s].id, size, {}, size == best_->sizes[s], ""};
      if (size == choices_[s].possible.back()) cost.why = choices_[s].limit;
      if (cost.chosen) {
        cost.makespan = Duration(best_->score.finish);
      } else {
        std::vector<int> sizes = best_->sizes;
        sizes[s] = size;
        if (const auto tried = try_sizes(sizes, nullptr)) cost.makespan = Duration(tried->score.finish);
        if (!cost.makespan) cost.why = "no schedule found";
      }
      costs.push_back(std::move(cost));
    }
  }
  return costs;
}

}  // namespace handlot::schedule
