#include "engine/distances.h"

#include <algorithm>

namespace handlot::engine {

namespace {

std::size_t at(std::int32_t i) {
  return static_cast<std::size_t>(i);
}

bool exceed(const ProjectInstance& p, std::int32_t i, std::int32_t j) {
  const auto& a = p.activities[at(i)];
  const auto& b = p.activities[at(j)];
  if (a.duration == 0 || b.duration == 0) return false;
  for (std::size_t k = 0; k < p.capacity.size(); ++k)
    if (a.demand[k] > 0 && b.demand[k] > 0 && a.demand[k] + b.demand[k] > p.capacity[k]) return true;
  return false;
}

}  // namespace

Distances::Distances(const ProjectInstance& p)
    : n_(static_cast<std::int32_t>(p.activities.size())), d_(n_ * n_, kNone) {
  for (std::int32_t i = 0; i < n_; ++i) set(i, i) = 0;
  for (const auto& l : p.lags) set(l.from, l.to) = std::max(set(l.from, l.to), l.lag);
  for (std::int32_t k = 0; k < n_; ++k)
    for (std::int32_t i = 0; i < n_; ++i) {
      const std::int32_t ik = (*this)(i, k);
      if (ik == kNone) continue;
      for (std::int32_t j = 0; j < n_; ++j)
        if ((*this)(k, j) != kNone) set(i, j) = std::clamp(ik + (*this)(k, j), (*this)(i, j), kFar / 4);
      if ((*this)(i, i) > 0) return;  // a cycle: the sums would grow without end
    }
}

bool Distances::cycle() const {
  for (std::int32_t i = 0; i < n_; ++i)
    if ((*this)(i, i) > 0) return true;
  return false;
}

void Distances::add(std::int32_t from, std::int32_t to, std::int32_t lag) {
  if ((*this)(from, to) >= lag) return;
  for (std::int32_t i = 0; i < n_; ++i) {
    const std::int32_t here = (*this)(i, from);
    if (here == kNone) continue;
    for (std::int32_t j = 0; j < n_; ++j)
      if ((*this)(to, j) != kNone) set(i, j) = std::max((*this)(i, j), here + lag + (*this)(to, j));
  }
}

PairsApart pairs_apart(const ProjectInstance& p, Distances& d) {
  PairsApart result;
  const auto n = static_cast<std::int32_t>(p.activities.size());
  for (std::int32_t i = 0; i < n; ++i)
    for (std::int32_t j = i + 1; j < n; ++j)
      if (exceed(p, i, j)) result.either.push_back({i, j});
  const auto decide = [&](PairsApart::Pair pair) {
    result.decided.push_back(pair);
    d.add(pair.first, pair.second, p.activities[at(pair.first)].duration);
  };
  for (bool more = true; more && !d.cycle();) {
    more = false;
    std::vector<PairsApart::Pair> open;
    for (const auto& [i, j] : result.either) {
      const std::int32_t long_i = p.activities[at(i)].duration;
      const std::int32_t long_j = p.activities[at(j)].duration;
      if (d(i, j) >= long_i || d(j, i) >= long_j) continue;  // the lags keep them apart
      const bool j_cannot_be_first = d(i, j) > -long_j;
      const bool i_cannot_be_first = d(j, i) > -long_i;
      if (j_cannot_be_first) decide({i, j});
      if (i_cannot_be_first) decide({j, i});
      more = more || j_cannot_be_first || i_cannot_be_first;
      if (!j_cannot_be_first && !i_cannot_be_first) open.push_back({i, j});
    }
    result.either = std::move(open);
  }
  result.impossible = d.cycle();
  return result;
}

}  // namespace handlot::engine
