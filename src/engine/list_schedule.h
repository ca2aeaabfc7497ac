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
  Order by_tail(double noise, std::mt19937_64& random);
  Plan build(const Order& priority);
  /// How busy the resources are around each activity of a plan: the mean, over its time, of the shares of all capacities in use.
  std::vector<double> crowding(const Plan& plan) const;

 private:
  struct Link {
    std::int32_t other, lag;
  };
  using Links = List<std::vector<Link>>;
  // What is free of all resources at one moment, side by side in the lanes of a few words. The top bit of a
  // lane is set and stays set when a demand that fits is taken off:
  //
  //     1 free | 1 free | 1 free | 1 free     16 bits a lane; 32 where a capacity needs more
  using Lanes = std::uint64_t;
  void lay_lanes(const ProjectInstance& project);
  bool room_for(const Lanes* demand, std::int32_t time) const;
  void place(const Order& order, const Links& before, bool forwards, std::vector<std::int32_t>& starts);
  std::int32_t first_fit(std::int32_t activity, std::int32_t from);
  std::int32_t makespan(const std::vector<std::int32_t>& starts) const;
  void put_in_order(Order& priority, const Links& before, const Links& after);
  void by_end(const std::vector<std::int32_t>& starts, Order& order) const;

  std::int32_t n_;
  std::int32_t horizon_;
  List<std::int32_t> durations_;
  std::int32_t words_ = 0;             // of lanes a moment
  Lanes guards_ = 0;                   // the top bits
  List<Lanes> demand_, whole_, free_;  // by activity, of an empty moment, by time: `words_` each
  Links predecessors_, successors_;
  List<std::int32_t> tail_;
  List<double> share_;                 // of all capacities together that an activity takes
  List<std::int32_t> rank_, waiting_;  // of put_in_order
  Order ready_;
};

/// A population of orders that is crossed and disturbed: each call to `breed` makes one more schedule. A
/// child takes the place of its worse parent if it is no longer, so that the population does not all become
/// alike; when it has stood still for long, a new one is begun.
class Breeding {
 public:
  Breeding(const ProjectInstance& project, std::uint64_t seed);
  /// Makes `count` schedules. Returns whether the best became better.
  bool breed(std::int32_t count);
  /// A schedule found elsewhere joins the population.
  void join(const std::vector<std::int32_t>& starts);
  const ListScheduler::Plan& best() const { return best_; }

 private:
  void begin_anew();
  void cross_two();
  ListScheduler::Order cross(const ListScheduler::Order& mother, const ListScheduler::Order& father);
  ListScheduler::Order cross_peaks(const ListScheduler::Plan& mother, const ListScheduler::Order& father);
  void disturb(ListScheduler::Order& child);
  void note(const ListScheduler::Plan& plan);
  std::int32_t chance(std::int32_t below);

  ListScheduler scheduler_;
  std::mt19937_64 random_;
  std::vector<ListScheduler::Plan> people_;
  ListScheduler::Plan best_;
  std::int32_t since_better_ = 0;  // children since one was shorter than its worse parent
  std::int32_t joined_ = 0;
};

}  // namespace handlot::engine
