#include "schedule/size_search.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <iterator>
#include <utility>

#include "core/cpu_time.h"
#include "core/text.h"

namespace handlot::schedule {

namespace {

constexpr Time kNoUrgency = -1;
constexpr Time kShortClock = 12 * 3600;
constexpr int kRepairsPerTask = 4;
constexpr int kShakes = 60;
constexpr double kSearchShare = 0.7;  ///< of the seconds; the rest is for costs and reliefs
constexpr double kCostShare = 0.85;

/// Ten or so sizes from 1 to the lot, closer together where they are small.
std::vector<int> spread_sizes(int units) {
  std::vector<int> sizes;
  for (int size = 1; size <= units; size = std::max(size + 1, size + size / 3)) sizes.push_back(size);
  return sizes;
}

/// The same and those that cut the lot into runs of one size, all but alike in number: 100 units in twenties, in 34s.
std::vector<int> even_sizes(int units) {
  constexpr int kRuns = 12;
  std::vector<int> sizes = spread_sizes(units);
  for (int runs = 1; runs <= std::min(units, kRuns); ++runs) sizes.push_back((units + runs - 1) / runs);
  std::sort(sizes.begin(), sizes.end());
  sizes.erase(std::unique(sizes.begin(), sizes.end()), sizes.end());
  return sizes;
}

}  // namespace

SizeSearch::SizeSearch(const plan::Work& work, const Limits& limits, std::uint64_t seed, Time bound)
    : SizeSearch(work, limits, seed, bound, size_choices(work)) {}

SizeSearch::SizeSearch(const plan::Work& work, const Limits& limits, std::uint64_t seed, Time bound, std::vector<SizeChoice> choices)
    : work_(work),
      numbers_(work),
      limits_(limits),
      random_(seed),
      bound_(bound),
      choices_(std::move(choices)),
      begun_(cpu_seconds()) {
  std::vector<std::size_t> all;
  for (std::size_t s = 0; s < choices_.size(); ++s) {
    if (choices_[s].possible.size() > 1) all.push_back(s);
  }
  groups_.push_back(all);
  for (const plan::Resource& r : work.resources) {
    std::vector<std::size_t> users;
    std::copy_if(all.begin(), all.end(), std::back_inserter(users), [&](std::size_t s) {
      const auto& uses = work.steps[s].timing.uses;
      return std::any_of(uses.begin(), uses.end(), [&](const plan::Use& u) { return u.resource == r.id; });
    });
    if (users.size() > 1 && std::find(groups_.begin(), groups_.end(), users) == groups_.end()) groups_.push_back(users);
  }
}

double SizeSearch::seconds() const {
  return cpu_seconds() - begun_;
}

/// splitmix64: a seed in, the same numbers out everywhere.
std::uint64_t SizeSearch::random() {
  std::uint64_t z = (random_ += 0x9E3779B97F4A7C15ULL);
  z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
  z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
  return z ^ (z >> 31);
}

bool SizeSearch::spent() {
  if (placements_ >= limits_.placements) {
    stopped_by_ = fmt::format("{} placements", limits_.placements);
  } else if (seconds() >= kSearchShare * limits_.seconds) {
    stopped_by_ = fmt::format("{} s", number(limits_.seconds));
  }
  return !stopped_by_.empty();
}

std::vector<Time> SizeSearch::ranks(const TaskSet& set, std::vector<Time> tail, int quarter_pace) const {
  const Time longest = tail.empty() ? 0 : *std::max_element(tail.begin(), tail.end());
  for (std::size_t t = 0; t < tail.size(); ++t) {
    tail[t] -= longest * quarter_pace * (set.tasks[t].run.first - 1) / (4 * work_.units);
  }
  return tail;
}

std::optional<Solution> SizeSearch::try_sizes(const std::vector<int>& sizes, const std::vector<Time>* noise,
                                              const std::vector<Way>& ways, Time latest) {
  std::optional<Placement> best;
  Score best_score;
  TaskSet set = cut(numbers_, sizes);
  // Units of such sub-batches can't keep a latest end one after another.
  if (std::any_of(set.links.begin(), set.links.end(), [](const Link& link) { return link.max < link.min; })) return std::nullopt;
  const Precedence precedence(set);
  const std::vector<Time> tail = tails(set);
  const bool fills = std::any_of(ways.begin(), ways.end(), [](const Way& way) { return way.fills_nights; });
  const auto stays = fills ? long_stays(set) : std::vector<std::optional<LongStay>>{};
  for (const Way& way : ways) {
    if ((best || best_) && ways.size() > 1 && spent()) break;
    if (way.fills_nights && ways.size() > 1 && !differ(stays)) continue;
    Rule rule{ranks(set, tail, way.quarter_pace), way.urgent_within, best ? best_score.finish : latest, tail, way.fills_nights ? &stays : nullptr,
              way.stay_within};
    if (noise != nullptr) {
      for (std::size_t t = 0; t < rule.rank.size(); ++t) rule.rank[t] += (*noise)[t % noise->size()];
    }
    placements_ += static_cast<std::int64_t>(set.tasks.size());
    auto placement =
        place_serially(set, precedence, rule, kRepairsPerTask * static_cast<int>(set.tasks.size()));
    if (!placement) continue;
    const Score score = score_of(set, *placement);
    if (best && best_score <= score) continue;
    best = std::move(placement);
    best_score = score;
    tried_way_ = way;
  }
  if (!best) return std::nullopt;
  return Solution{sizes, std::move(set), std::move(*best), best_score};
}

void SizeSearch::try_paces(const Better& better) {
  if (work_.units == 1) return;
  for (const int pace : {1, 2, 3, 4, 6, 8, 16}) {
    if (done() || spent()) return;
    const Time urgent = best_way_.urgent_within;
    consider(try_sizes(best_->sizes, nullptr, {{urgent, pace, false}, {urgent, pace, true}}, to_beat()), better);
  }
}

bool SizeSearch::consider(std::optional<Solution> solution, const Better& better) {
  if (!solution || (best_ && best_->score <= solution->score)) return false;
  best_ = std::move(solution);
  best_way_ = tried_way_;
  better(*best_);
  return true;
}

/// All sizes where there are few; else the neighbours of the present one, and sizes each half as large again.
std::vector<int> SizeSearch::worth_trying(std::size_t step) const {
  constexpr std::size_t kFew = 5;
  const std::vector<int>& possible = choices_[step].possible;
  if (possible.size() <= kFew) return possible;
  const int now = best_->sizes[step];
  std::vector<int> out;
  int next = possible.front();
  for (const int size : possible) {
    const bool near = size == now - 1 || size == now + 1;
    if (size < next && !near && size != possible.back()) continue;
    out.push_back(size);
    if (size >= next) next = std::max(size + 1, size + (size + 1) / 2);
  }
  return out;
}

void SizeSearch::descend(const Better& better) {
  for (bool moved = true; moved;) {
    moved = false;
    for (std::size_t s = 0; s < choices_.size(); ++s) {
      if (choices_[s].possible.size() < 2) continue;
      for (const int size : worth_trying(s)) {
        if (spent()) return;
        std::vector<int> sizes = best_->sizes;
        if (sizes[s] == size) continue;
        sizes[s] = size;
        moved = consider(try_sizes(sizes, nullptr, {best_way_}, to_beat()), better) || moved;
      }
    }
    if (done()) return;  // one round more was for the set-ups
  }
}

bool SizeSearch::try_group(const std::vector<std::size_t>& steps, int size, const Better& better) {
  std::vector<int> sizes = best_->sizes;
  for (const std::size_t s : steps) {
    sizes[s] = nearest(s, size);
  }
  return sizes != best_->sizes && consider(try_sizes(sizes, nullptr, {best_way_}, to_beat()), better);
}

/// Steps that cost something a sub-batch in one size, what costs nothing unit by unit: little to set up, and short work for
/// the ends of the evenings.
void SizeSearch::try_even_cuts(const Better& better) {
  const std::vector<Way> ways{best_way_, {kNever, 0}, {kNever, 4}};
  for (const int size : even_sizes(work_.units)) {
    if (done() || spent()) return;
    std::vector<int> sizes;
    for (std::size_t s = 0; s < choices_.size(); ++s) {
      const plan::Timing& t = work_.steps[s].timing;
      const bool free = t.setup.seconds == 0 && t.run_per_unit && t.unattended.seconds == 0;
      sizes.push_back(nearest(s, free ? 1 : size));
    }
    consider(try_sizes(sizes, nullptr, ways, to_beat()), better);
  }
}

void SizeSearch::descend_groups(const Better& better) {
  for (const auto& group : groups_) {
    for (const int size : even_sizes(work_.units)) {
      if (done() || spent()) return;
      try_group(group, size, better);
    }
  }
}

void SizeSearch::shake(const Better& better) {
  for (int i = 0; i < kShakes && !done() && !spent(); ++i) {
    std::vector<Time> noise(best_->set.tasks.size());
    const auto spread = static_cast<std::uint64_t>(std::max<Time>(1, best_->score.finish / 8));
    for (Time& one : noise) one = static_cast<Time>(random() % spread);
    consider(try_sizes(best_->sizes, &noise, {best_way_}, to_beat()), better);
  }
}

int SizeSearch::nearest(std::size_t step, int size) const {
  const std::vector<int>& possible = choices_[step].possible;
  const auto found = std::lower_bound(possible.begin(), possible.end(), size);
  return found == possible.end() ? possible.back() : *found;
}

void SizeSearch::begin_with(std::vector<int> sizes) {
  for (std::size_t s = 0; s < sizes.size(); ++s) sizes[s] = nearest(s, sizes[s]);
  cuts_.push_back(std::move(sizes));
}

void SizeSearch::run(const Better& better) {
  std::array<std::vector<int>, 3> cuts;
  for (const SizeChoice& choice : choices_) {
    cuts[0].push_back(choice.possible.back());
    cuts[1].push_back(choice.possible.front());
    cuts[2].push_back(choice.possible[choice.possible.size() / 2]);
  }
  cuts_.insert(cuts_.end(), cuts.begin(), cuts.end());
  const std::vector<Way> ways{{kNever, 0}, {kNever, 4}, {kShortClock, 0}, {kNoUrgency, 0}};
  for (const auto& sizes : cuts_) {
    if (!best_ || !spent()) consider(try_sizes(sizes, nullptr, ways, to_beat()), better);
  }
  // Clocks may be too short for the largest and leave no room for so many of the smallest: one size for all, step by step larger.
  for (const int size : spread_sizes(work_.units)) {
    if (best_ || spent()) break;
    std::vector<int> alike;
    for (std::size_t s = 0; s < choices_.size(); ++s) alike.push_back(nearest(s, size));
    consider(try_sizes(alike, nullptr, ways, to_beat()), better);
  }
  if (!best_) return;
  try_paces(better);
  descend(better);
  try_paces(better);
  shake(better);
}

void SizeSearch::cut_evenly(const Better& better) {
  if (!best_ || done()) return;
  const Time before = best_->score.finish;
  try_even_cuts(better);
  descend_groups(better);
  if (best_->score.finish == before) return;
  try_paces(better);
  descend(better);
  try_paces(better);
}

bool SizeSearch::consider_calmer(std::optional<Solution> solution) {
  if (!solution) return false;
  const Score &now = best_->score, &then = solution->score;
  if (std::pair(then.finish, then.setups) > std::pair(now.finish, now.setups)) return false;
  const bool calmer = then.waiting <= now.waiting && changes_of_work(solution->set, solution->placement) < changes_of_work(best_->set, best_->placement);
  if (then.finish == now.finish && then.setups == now.setups && !calmer) return false;
  best_ = std::move(solution);
  return true;
}

void SizeSearch::stay(const std::vector<int>& sizes) {
  for (const Time part : {0, 32, 8}) {
    Way way = best_way_;
    way.stay_within = part == 0 ? 0 : best_->score.finish / part;
    consider_calmer(try_sizes(sizes, nullptr, {way}, best_->score.finish));
  }
}

/// The present schedule task after task in the order of its starts, with hands that stay at a step. What starts a clock is
/// begun no sooner than it was, or clocks hurry as they do elsewhere.
bool SizeSearch::stay_in_order() {
  constexpr std::array<Time, 6> kReaches{0, kNever, 8 * 3600, 2 * 3600, 1800, 600};
  const Precedence precedence(best_->set);
  const std::vector<Time> tail = tails(best_->set);
  bool calmer = false;
  for (const Time reach : kReaches) {
    for (const bool as_begun : {true, false}) {
      const TaskSet& set = best_->set;
      Rule rule{{}, as_begun ? kNoUrgency : kNever, best_->score.finish, tail, nullptr, 0, reach};
      for (const Time start : best_->placement.start) rule.rank.push_back(-start);
      if (as_begun) {
        rule.not_before.assign(set.tasks.size(), 0);
        for (const Link& link : set.links) {
          const auto from = static_cast<std::size_t>(link.from);
          if (link.max < kNever) rule.not_before[from] = best_->placement.start[from];
        }
      }
      placements_ += static_cast<std::int64_t>(set.tasks.size());
      auto placement = place_serially(set, precedence, rule, kRepairsPerTask * static_cast<int>(set.tasks.size()));
      if (!placement) continue;
      const Score score = score_of(set, *placement);
      calmer = consider_calmer(Solution{best_->sizes, set, std::move(*placement), score}) || calmer;
    }
  }
  return calmer;
}

void SizeSearch::stay_with_steps() {
  if (!best_ || work_.units == 1) return;
  const std::int64_t placements = placements_ + limits_.placements;
  const double until = seconds() + limits_.seconds / 8;
  const auto enough = [&] { return placements_ >= placements || seconds() >= until; };
  const auto larger = [&](std::size_t s, const auto& tried) {
    for (const int size : worth_trying(s)) {
      std::vector<int> sizes = best_->sizes;
      if (size <= sizes[s] || enough()) continue;
      sizes[s] = size;
      tried(std::move(sizes));
    }
  };
  stay(best_->sizes);
  while (!enough() && stay_in_order()) {
  }
  std::vector<std::size_t> with_setup;
  for (std::size_t s = 0; s < choices_.size(); ++s) {
    if (choices_[s].possible.size() > 1 && work_.steps[s].timing.setup.seconds > 0) with_setup.push_back(s);
  }
  for (const std::size_t s : with_setup) {
    larger(s, [&](const std::vector<int>& sizes) { stay(sizes); });
    // Fewer prints may ask for smaller oven loads.
    for (const std::size_t other : with_setup) {
      if (other == s) continue;
      larger(s, [&](std::vector<int> sizes) {
        for (const int size : worth_trying(other)) {
          sizes[other] = size;
          if (!enough()) stay(sizes);
        }
      });
    }
  }
  for (std::size_t s = 0; s < choices_.size(); ++s) larger(s, [&](const std::vector<int>& sizes) { stay(sizes); });
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
      } else if (seconds() >= kCostShare * limits_.seconds) {
        continue;
      } else {
        std::vector<int> sizes = best_->sizes;
        sizes[s] = size;
        if (const auto tried = try_sizes(sizes, nullptr, {best_way_}, kNever))
          cost.makespan = Duration(std::max(tried->score.finish, best_->score.finish));
        if (!cost.makespan) cost.why = "no schedule found";
      }
      costs.push_back(std::move(cost));
    }
  }
  return costs;
}

}  // namespace handlot::schedule
