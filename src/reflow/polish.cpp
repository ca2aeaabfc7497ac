// Damped least squares with differences for slopes.
#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "reflow/search.h"

namespace handlot::reflow {

namespace {

Eigen::VectorXd as_vector(const std::vector<double>& v) {
  return Eigen::Map<const Eigen::VectorXd>(v.data(), static_cast<Eigen::Index>(v.size()));
}

}  // namespace

SearchResult polish(const std::function<std::vector<double>(const std::vector<double>&)>& residuals,
                    std::vector<double> start, const std::vector<double>& low,
                    const std::vector<double>& high, int steps) {
  const std::size_t n = start.size();
  SearchResult best;
  best.at = std::move(start);
  Eigen::VectorXd r = as_vector(residuals(best.at));
  best.value = r.squaredNorm();
  best.evaluations = 1;
  double damping = 1e-3;
  for (int step = 0; step < steps; ++step) {
    Eigen::MatrixXd slopes(r.size(), static_cast<Eigen::Index>(n));
    for (std::size_t k = 0; k < n; ++k) {
      const double h = 1e-5 * (high[k] - low[k]) * (best.at[k] < (low[k] + high[k]) / 2 ? 1 : -1);
      std::vector<double> x = best.at;
      x[k] += h;
      slopes.col(static_cast<Eigen::Index>(k)) = (as_vector(residuals(x)) - r) / h;
      ++best.evaluations;
    }
    const Eigen::MatrixXd square = slopes.transpose() * slopes;
    const Eigen::VectorXd down = -slopes.transpose() * r;
    bool better = false;
    for (int attempt = 0; attempt < 12 && !better; ++attempt) {
      Eigen::MatrixXd damped = square;
      damped.diagonal() += damping * square.diagonal() + Eigen::VectorXd::Constant(square.rows(), 1e-12);
      const Eigen::VectorXd move = damped.ldlt().solve(down);
      std::vector<double> x = best.at;
      for (std::size_t k = 0; k < n; ++k)
        x[k] = std::clamp(x[k] + move[static_cast<Eigen::Index>(k)], low[k], high[k]);
      const Eigen::VectorXd tried = as_vector(residuals(x));
      ++best.evaluations;
      better = tried.squaredNorm() < best.value;
      damping *= better ? 0.2 : 5;
      if (!better) continue;
      best.settled = best.value - tried.squaredNorm() < 1e-9 * best.value;
      best.at = std::move(x);
      r = tried;
      best.value = r.squaredNorm();
    }
    if (!better) best.settled = true;
    if (best.settled) break;
  }
  return best;
}

}  // namespace handlot::reflow
