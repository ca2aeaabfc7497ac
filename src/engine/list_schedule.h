// list_schedule.h: quick good schedules for projects without maximum lags.
#pragma once

#include <random>

#include "engine/list.h"
#include "engine/project.h"

namespace handlot::engine {

/// Places activities one by one, each as early as its predecessors and the resources allow; then pulls the
/// schedule tight by doing the same backwards from its end and forwards again, as long as it gets shorter.
///
/// Given    a project with no negative lag and no activity that asks for more than a capacity.
/// Source   serial generation with forward-backward improvement: Kolisch, Hartmann, "Experimental
///          investigation of heuristics for RCPSP: an update", EJOR 174 (2006) [memory].
class ListScheduler {
 public:
  using Order = std::vector<std::int32_t>;
  struct Plan {
    Order order;  ///< activities by start
    std::vector<std::int32_t> starts;
    std::int32_t makespan = 0;
  };

  explicit ListScheduler(const ProjectInstance& project);
  /// No negative lag, no cycle, no demand above a capacity: without these there may be no schedule at all.
  static bool fits(const ProjectInstance& project);

  /// Activities ordered by latest finish (longest tail first), disturbed by up to `noise` of the longest
  /// tail.
  Order by_tail(double noise, std::mt19937_64& random) const;
  Plan build(const Order& priority);

 private:
  struct Link {
    std::int32_t other, lag;
  };
  using Links = List<std::vector<Link>>;
  struct Use {
    std::int32_t resource, demand;
  };
  void place(const Order& order, const Links& before, bool forwards, std::vector<std::int32_t>& starts);
  std::int32_t first_fit(std::int32_t activity, std::int32_t from);
  std::int32_t makespan(const std::vector<std::int32_t>& starts) const;
  Order in_order(const Order& priority, const Links& before, const Links& after) const;
  void by_end(const std::vector<std::int32_t>& starts, Order& order) const;

  std::int32_t n_;
  std::int32_t horizon_;
  List<std::int32_t> durations_;
  List<std::vector<Use>> uses_;
  std::vector<std::int32_t> capacity_;
  Links predecessors_, successors_;
  List<std::int32_t> tail_;
  List<List<std::int32_t>> load_;  // by resource, by time
};

/// A population of orders that is crossed and disturbed: each call to `breed` makes one more schedule.
class Breeding {
 public:
  Breeding(const ProjectInstance& project, std::uint64_t seed);
  /// Makes `count` schedules. Returns whether the best became better.
  bool breed(std::int32_t count);
  /// A schedule found elsewhere joins the population.
  void join(const std::vector<std::int32_t>& starts);
  const ListScheduler::Plan& best() const { return best_; }

 private:
  ListScheduler::Order cross(const ListScheduler::Order& mother, const ListScheduler::Order& father);
  void enter(ListScheduler::Plan plan);
  std::int32_t chance(std::int32_t below);

  ListScheduler scheduler_;
  std::mt19937_64 random_;
  std::vector<ListScheduler::Plan> people_;
  ListScheduler::Plan best_;
  std::int32_t made_ = 0;
};

}  // namespace handlot::engine
