// size_search.h: sub-batch sizes and orders tried with serial schedules.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "schedule/serial.h"
#include "schedule/sizes.h"
#include "schedule/solution.h"
#include "schedule/solve.h"
#include "schedule/tasks.h"

namespace handlot::schedule {

/// Coordinate search: from a few starting cuts, one step's size at a time, as long as it gets better; then
/// other orders of placing for the best cut.
class SizeSearch {
 public:
  using Better = std::function<void(const Solution&)>;
  SizeSearch(const plan::Work& work, const Limits& limits, std::uint64_t seed, Time bound);
  /// Given  `choices` allow no less than size_choices(work) does.
  SizeSearch(const plan::Work& work, const Limits& limits, std::uint64_t seed, Time bound, std::vector<SizeChoice> choices);

  /// One more cut to begin with. Sizes that the work does not allow are brought to the nearest that it does.
  void begin_with(std::vector<int> sizes);
  void run(const Better& better);
  /// For large lots with set-ups, where one size at a time gets nowhere: every step in one size, and groups of them.
  /// Given  run() has been called.
  void cut_evenly(const Better& better);

  /// Fewer set-ups and changes of work where that costs neither finish nor idle hands: the same sizes with hands that stay at
  /// a step, then larger ones. Given  run() has been called.
  void stay_with_steps();

  const std::optional<Solution>& best() const { return best_; }
  void adopt(Solution better) { best_ = std::move(better); }
  /// The finish is as near to the bound as is asked.
  bool done() const {
    return best_ && static_cast<double>(best_->score.finish) <= static_cast<double>(bound_) * (1 + limits_.gap);
  }
  const std::vector<SizeChoice>& choices() const { return choices_; }
  std::string stopped_by() const { return stopped_by_; }
  double seconds() const;  ///< CPU since it was made
  std::uint64_t random();

  /// For every step that has a choice: size 1 (or its smallest), the chosen one, and the largest possible,
  /// with the other steps as chosen. Left out where the limit in seconds has been reached. Given  best().
  std::vector<plan::BatchCost> batch_costs();

 private:
  /// How tasks are ranked: clocks that hurry, and how far later units stand behind earlier ones.
  ///   pace 0   all units of an early step before any of a late one (longest tail first)
  ///   pace 4   a unit is all but finished before the next is begun
  /// `fills_nights`: a stay that would leave its place empty over a night or a weekend lets one go first that does not.
  struct Way {
    Time urgent_within = kNever;
    int quarter_pace = 0;
    bool fills_nights = false;
    std::optional<Time> stay_within{};
  };
  bool spent();
  std::vector<Time> ranks(const TaskSet& set, std::vector<Time> tail, int quarter_pace) const;
  std::optional<Solution> try_sizes(const std::vector<int>& sizes, const std::vector<Time>* noise,
                                    const std::vector<Way>& ways, Time latest);
  /// A later finish is of no use.
  Time to_beat() const { return best_ ? best_->score.finish : kNever; }
  void try_paces(const Better& better);
  bool consider(std::optional<Solution> solution, const Better& better);
  int nearest(std::size_t step, int size) const;  ///< possible size of the step
  std::vector<int> worth_trying(std::size_t step) const;
  bool try_group(const std::vector<std::size_t>& steps, int size, const Better& better);
  void try_even_cuts(const Better& better);
  void descend_groups(const Better& better);
  void descend(const Better& better);
  void shake(const Better& better);
  bool consider_calmer(std::optional<Solution> solution);
  void stay(const std::vector<int>& sizes);
  bool stay_in_order();

  const plan::Work& work_;
  Numbers numbers_;
  Limits limits_;
  std::uint64_t random_;
  Time bound_;
  std::vector<SizeChoice> choices_;
  std::optional<Solution> best_;
  std::vector<std::vector<int>> cuts_;
  std::vector<std::vector<std::size_t>>
      groups_;    ///< all steps that have a choice, and those that share a station: their sizes move together too
  Way best_way_;  ///< the one that made `best_`
  Way tried_way_;
  std::int64_t placements_ = 0;
  double begun_ = 0;
  std::string stopped_by_;
};

}  // namespace handlot::schedule
