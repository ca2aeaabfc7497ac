// times.h: how long the steps really take these hands, and whether they get quicker.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "plan/plan.h"
#include "record/state.h"

namespace handlot::record {

/// T(n) = first x n^exponent: the unit curve of learning. `slope` is what one doubling leaves of the time
/// (0.85).
///
/// Source  LL-U model: every doubling of the unit number leaves the same share of the time.
struct LearningCurve {
  double first_s = 0;
  double exponent = 0;
  double slope() const;
  double unit(double n) const;
};

/// Least squares of log(seconds) against log(n), n = 1, 2, 3...
/// Given    all times > 0.
/// Returns  empty below two times.
std::optional<LearningCurve> fit_curve(std::span<const double> seconds);

/// Samples below which no percentage is printed.
inline constexpr int kFewest = 5;

struct StepTimes {
  StepId step;
  int units = 0;         ///< measured
  double planned_s = 0;  ///< a unit, set-up not counted
  double median_s = 0;
  double low_s = 0;  ///< quartiles, by linear interpolation between the sorted times
  double high_s = 0;
  std::optional<LearningCurve> curve;  ///< from kFewest on
  std::optional<double>
      suggested_s;  ///< what to plan the rest with: the curve at the next unit when it fits better than
                    ///< the median, never below the shortest time measured; from two units on
};

/// In plan order, steps without any sample left out, and those with a set-up or a time by themselves and no run. A batch of
/// k units counts as k units of an equal share.
std::vector<StepTimes> step_times(const plan::Plan& plan, const State& state);

/// Quantile of sorted values, linear between neighbours: q = 0.5 is the median.
double quantile(std::span<const double> sorted, double q);

}  // namespace handlot::record
