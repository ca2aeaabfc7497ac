// distances.h: longest paths between the activities of a project, and what they decide about pairs.
#pragma once

#include "engine/list.h"
#include "engine/project.h"

namespace handlot::engine {

/// start(j) >= start(i) + d(i, j) for every two activities, closed under going through a third.
/// Cost     n^3 to make, n^2 to add a lag.
class Distances {
 public:
  static constexpr std::int32_t kNone = -kFar;

  explicit Distances(const ProjectInstance& project);
  std::int32_t operator()(std::int32_t i, std::int32_t j) const { return d_[i * n_ + j]; }
  void add(std::int32_t from, std::int32_t to, std::int32_t lag);
  /// The lags ask of some activity to start after itself.
  bool cycle() const;

 private:
  std::int32_t& set(std::int32_t i, std::int32_t j) { return d_[i * n_ + j]; }
  std::int32_t n_;
  List<std::int32_t> d_;
};

/// What must hold of pairs of activities that together exceed a capacity.
struct PairsApart {
  struct Pair {
    std::int32_t first, second;
  };
  std::vector<Pair> either;   ///< in one order or the other: still to be decided
  std::vector<Pair> decided;  ///< only "first before second" is possible
  bool impossible = false;
};

/// Given    `distances` of the same project; decided pairs are added to them.
PairsApart pairs_apart(const ProjectInstance& project, Distances& distances);

}  // namespace handlot::engine
