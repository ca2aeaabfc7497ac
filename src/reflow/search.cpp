#include "reflow/search.h"

#include <nlopt.hpp>

#include <algorithm>

namespace handlot::reflow {

SearchResult search(const std::function<double(const std::vector<double>&)>& cost, std::vector<double> start,
                    const std::vector<double>& low, const std::vector<double>& high, int evaluations) {
  SearchResult best;
  best.at = start;
  best.value = cost(start);
  best.evaluations = 1;
  struct State {
    const std::function<double(const std::vector<double>&)>& cost;
    SearchResult& best;
  } state{cost, best};
  const auto call = [](const std::vector<double>& x, std::vector<double>&, void* data) {
    State& s = *static_cast<State*>(data);
    const double value = s.cost(x);
    ++s.best.evaluations;
    if (value < s.best.value) {
      s.best.value = value;
      s.best.at = x;
    }
    return value;
  };
  double before = best.value;
  while (best.evaluations < evaluations) {
    nlopt::opt opt(nlopt::LN_SBPLX, static_cast<unsigned>(start.size()));
    opt.set_lower_bounds(low);
    opt.set_upper_bounds(high);
    opt.set_min_objective(call, &state);
    opt.set_xtol_rel(1e-6);
    opt.set_ftol_rel(1e-7);
    opt.set_maxeval(evaluations - best.evaluations);
    std::vector<double> step(start.size());
    for (std::size_t i = 0; i < step.size(); ++i) step[i] = std::max(1e-9, 0.1 * (high[i] - low[i]));
    opt.set_initial_step(step);
    std::vector<double> at = best.at;
    double value = 0;
    try {
      const nlopt::result result = opt.optimize(at, value);
      if (result == nlopt::MAXEVAL_REACHED) break;
    } catch (const std::exception&) {
      break;  // rounding errors end a search; the best point stands
    }
    // Started anew from where it came to rest; once that gains nothing, it has settled.
    if (best.value > before * (1 - 1e-3)) {
      best.settled = true;
      break;
    }
    before = best.value;
  }
  return best;
}

}  // namespace handlot::reflow
