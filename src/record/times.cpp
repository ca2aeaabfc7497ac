#include "record/times.h"

#include <algorithm>
#include <cmath>

namespace handlot::record {
namespace {

/// Whether the set-up was in it: the reading that comes nearer to the plan. Units begun one after the other are set up for
/// once.
double without_setup(const plan::Timing& timing, double seconds, double units) {
  const auto setup = static_cast<double>(timing.setup.seconds);
  const auto run = static_cast<double>(timing.run.seconds);
  const double with = seconds / units;
  const double without = (seconds - setup) / units;
  if (without <= 0 || run <= 0) return with;  // nobody planned any time for it
  return std::abs(std::log(without / run)) < std::abs(std::log(with / run)) ? without : with;
}

/// Set up for, or left to itself: no hands learn anything at a unit.
bool has_no_run(const plan::Timing& timing) {
  return timing.run.seconds <= 0 && (timing.setup.seconds > 0 || timing.unattended.seconds > 0 || !timing.hands_on);
}

std::vector<double> unit_times(const plan::Step& step, const State& state) {
  std::vector<double> out;
  if (has_no_run(step.timing)) return out;
  for (const Sample& sample : state.samples) {
    if (sample.step != step.id) continue;
    if (!step.timing.run_per_unit) {
      out.push_back(without_setup(step.timing, sample.seconds, 1));
      continue;
    }
    const double share = without_setup(step.timing, sample.seconds, sample.units);
    out.insert(out.end(), static_cast<std::size_t>(sample.units), share);
  }
  return out;
}

double scatter(std::span<const double> seconds, const LearningCurve& curve) {
  double sum = 0;
  for (std::size_t i = 0; i < seconds.size(); ++i) {
    const double off = seconds[i] - curve.unit(static_cast<double>(i + 1));
    sum += off * off;
  }
  return sum;
}

double scatter(std::span<const double> seconds, double level) {
  double sum = 0;
  for (const double s : seconds) sum += (s - level) * (s - level);
  return sum;
}

}  // namespace

double LearningCurve::slope() const {
  return std::pow(2.0, exponent);
}
double LearningCurve::unit(double n) const {
  return first_s * std::pow(n, exponent);
}

std::optional<LearningCurve> fit_curve(std::span<const double> seconds) {
  if (seconds.size() < 2) return std::nullopt;
  double sx = 0, sy = 0, sxx = 0, sxy = 0;
  for (std::size_t i = 0; i < seconds.size(); ++i) {
    const double x = std::log(static_cast<double>(i + 1));
    const double y = std::log(seconds[i]);
    sx += x;
    sy += y;
    sxx += x * x;
    sxy += x * y;
  }
  const auto n = static_cast<double>(seconds.size());
  const double b = (n * sxy - sx * sy) / (n * sxx - sx * sx);
  return LearningCurve{std::exp((sy - b * sx) / n), b};
}

double quantile(std::span<const double> sorted, double q) {
  if (sorted.empty()) return 0;
  const double at = q * static_cast<double>(sorted.size() - 1);
  const auto below = static_cast<std::size_t>(at);
  const auto above = std::min(below + 1, sorted.size() - 1);
  return sorted[below] + (at - static_cast<double>(below)) * (sorted[above] - sorted[below]);
}

std::vector<StepTimes> step_times(const plan::Plan& plan, const State& state) {
  std::vector<StepTimes> out;
  for (const auto& step : plan.work.steps) {
    const auto seconds = unit_times(step, state);
    if (seconds.empty()) continue;
    auto sorted = seconds;
    std::sort(sorted.begin(), sorted.end());
    StepTimes t;
    t.step = step.id;
    t.units = static_cast<int>(seconds.size());
    t.planned_s = static_cast<double>(step.timing.run.seconds);
    t.median_s = quantile(sorted, 0.5);
    t.low_s = quantile(sorted, 0.25);
    t.high_s = quantile(sorted, 0.75);
    if (t.units >= 2) t.suggested_s = t.median_s;
    if (t.units >= kFewest) {
      t.curve = fit_curve(seconds);
      if (t.curve->exponent < 0 && scatter(seconds, *t.curve) < scatter(seconds, t.median_s))
        t.suggested_s = std::max(sorted.front(), t.curve->unit(static_cast<double>(t.units + 1)));
    }
    out.push_back(t);
  }
  return out;
}

}  // namespace handlot::record
