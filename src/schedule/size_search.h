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
  SizeSearch(const plan::Work& work, const Limits& limits, std::uint64_t seed, Duration bound);

  void run(const std::function<void(Duration)>& better);

  const std::optional<Solution>& best() const { return best_; }
  std::string stopped_by() const { return stopped_by_; }

  /// For every step that has a choice: size 1 (or its smallest), the chosen one, and the largest possible,
  /// with the other steps as chosen. Given  best().
  std::vector<plan::BatchCost> batch_costs();

 private:
  bool spent();
  bool done() const { return best_ && best_->score.finish <= bound_; }
  std::optional<Solution> try_sizes(const std::vector<int>& sizes, const std::vector<Time>* noise);
  bool consider(std::optional<Solution> solution, const std::function<void(Duration)>& better);
  void descend(const std::function<void(Duration)>& better);
  void shake(const std::function<void(Duration)>& better);

  const plan::Work& work_;
  Limits limits_;
  std::uint64_t random_;
  Time bound_;
  std::vector<SizeChoice> choices_;
  std::optional<Solution> best_;
  std::int64_t placements_ = 0;
  double begun_ = 0;
  std::string stopped_by_;
};

}  // namespace handlot::schedule
