// reach.h: which step leads to which, kept up to date while links are added.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace handlot::graph {

/// A growing order relation over 0..n-1, closed under transitivity.
/// Cost   add: n*n/64 words at the worst; leads: constant.
class Reach {
 public:
  explicit Reach(std::size_t n) : n_(n), words_((n + 63) / 64), rows_(n * words_, 0) {}

  bool leads(std::size_t a, std::size_t b) const { return ((rows_[a * words_ + b / 64] >> (b % 64)) & 1u) != 0; }

  /// Given   not leads(b, a), a != b.
  void add(std::size_t a, std::size_t b) {
    if (leads(a, b)) return;
    for (std::size_t x = 0; x < n_; ++x) {
      if (x != a && !leads(x, a)) continue;
      for (std::size_t w = 0; w < words_; ++w) rows_[x * words_ + w] |= rows_[b * words_ + w];
      rows_[x * words_ + b / 64] |= std::uint64_t{1} << (b % 64);
    }
  }

 private:
  std::size_t n_;
  std::size_t words_;
  std::vector<std::uint64_t> rows_;
};

}  // namespace handlot::graph
