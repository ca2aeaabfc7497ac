// search.h: the one search that fits and advice use: bounded, without slopes, the same every time.
#pragma once

#include <functional>
#include <vector>

namespace handlot::reflow {

struct SearchResult {
  std::vector<double> at;
  double value = 0;
  int evaluations = 0;
  bool settled = false;  ///< it came to rest before its limit
};

/// Smallest value of `cost` within the box, from `start`, by restarted subspace simplex (NLopt's Sbplx).
///
/// Given    low <= start <= high, all of one size; evaluations > 0.
/// Returns  the best point seen; `settled` false if the limit of evaluations stopped it.
SearchResult search(const std::function<double(const std::vector<double>&)>& cost, std::vector<double> start,
                    const std::vector<double>& low, const std::vector<double>& high, int evaluations);

/// Least squares of `residuals`, polished from `start` by Levenberg's damped steps with differences for
/// slopes. For fits whose parameters make up for each other, where a search without slopes crawls.
///
/// Given    residuals gives the same number of values for every point of the box.
/// Returns  the best point seen; value = sum of squares.
SearchResult polish(const std::function<std::vector<double>(const std::vector<double>&)>& residuals,
                    std::vector<double> start, const std::vector<double>& low,
                    const std::vector<double>& high, int steps);

}  // namespace handlot::reflow
