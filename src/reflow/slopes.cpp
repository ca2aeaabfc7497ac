// The steepest slopes of a curve, by a window slid over it.
#include <algorithm>
#include <cmath>

#include "reflow/figures.h"

namespace handlot::reflow {

namespace {

/// Sums of a least-squares line, taken about an origin near the window so that nothing cancels in a long log.
class LineSums {
 public:
  void start(double t, double y) {
    origin_ = t;
    level_ = y;
    n_ = st_ = sy_ = stt_ = sty_ = 0;
  }
  void add(double t, double y, double sign) {
    const double dt = t - origin_;
    const double dy = y - level_;
    n_ += sign;
    st_ += sign * dt;
    sy_ += sign * dy;
    stt_ += sign * dt * dt;
    sty_ += sign * dt * dy;
  }
  double slope() const { return (n_ * sty_ - st_ * sy_) / (n_ * stt_ - st_ * st_); }

 private:
  double origin_ = 0, level_ = 0, n_ = 0, st_ = 0, sy_ = 0, stt_ = 0, sty_ = 0;
};

/// Keeps the steepest of both kinds; a tie goes to the earlier one.
class Steepest {
 public:
  void see(double slope, double from, double to) {
    if (!found_ || slope > best_.steepest_rise.value.value) {
      best_.steepest_rise = {KelvinPerSecond(slope), Seconds(from), Seconds(to)};
    }
    if (!found_ || slope < best_.steepest_fall.value.value) {
      best_.steepest_fall = {KelvinPerSecond(slope), Seconds(from), Seconds(to)};
    }
    found_ = true;
  }
  std::optional<SlopeRange> answer() const { return found_ ? std::optional(best_) : std::nullopt; }

 private:
  SlopeRange best_;
  bool found_ = false;
};

/// True if a gap lies in (from, to); gaps are in order, and `next` moves along with the window.
bool holds_gap(const std::vector<Gap>& gaps, std::size_t& next, double from, double to) {
  while (next < gaps.size() && gaps[next].to.value <= from) ++next;
  return next < gaps.size() && gaps[next].from.value < to;
}

std::optional<SlopeRange> neighbour_slopes(const Trace& trace) {
  Steepest steepest;
  std::size_t gap = 0;
  for (std::size_t i = 0; i + 1 < trace.size(); ++i) {
    const double from = trace.seconds[i];
    const double to = trace.seconds[i + 1];
    if (holds_gap(trace.gaps, gap, from, to)) continue;
    steepest.see((trace.celsius[i + 1] - trace.celsius[i]) / (to - from), from, to);
  }
  return steepest.answer();
}

constexpr double kSlack = 0.02;  // of a step: rounded times do not add up to the window exactly

/// How long a window may be, and must at least be: a whole step short is short only where sampling is uneven.
struct Bounds {
  double most;
  double least;
};
Bounds bounds(Seconds window, double step) {
  return {window.value + kSlack * step, window.value - (1 - kSlack) * step};
}

}  // namespace

std::optional<SlopeRange> least_squares_slopes(const Trace& trace, Seconds window) {
  if (trace.size() < 2) return std::nullopt;
  const double step = typical_step(trace).value;
  if (step * (1 - kSlack) > window.value) return neighbour_slopes(trace);
  constexpr std::size_t kFreshStart = 4096;  // how many slides until the sums are taken anew
  const auto [most, least] = bounds(window, step);
  Steepest steepest;
  LineSums sums;
  std::size_t end = 0;  // one past the last reading in the window
  std::size_t gap = 0;
  for (std::size_t i = 0; i + 1 < trace.size(); ++i) {
    if (i % kFreshStart == 0 || end <= i) {
      sums.start(trace.seconds[i], trace.celsius[i]);
      const std::size_t known = std::max(end, i);
      for (std::size_t k = i; k < known; ++k) sums.add(trace.seconds[k], trace.celsius[k], 1);
      end = known;
    }
    const double limit = trace.seconds[i] + most;
    for (; end < trace.size() && trace.seconds[end] <= limit; ++end)
      sums.add(trace.seconds[end], trace.celsius[end], 1);
    const double from = trace.seconds[i];
    const double to = trace.seconds[end - 1];
    if (to - from > least && !holds_gap(trace.gaps, gap, from, to)) {
      steepest.see(sums.slope(), from, to);
    }
    sums.add(trace.seconds[i], trace.celsius[i], -1);
  }
  return steepest.answer();
}

std::optional<SlopeRange> secant_slopes(const Trace& trace, Seconds window) {
  if (trace.size() < 2) return std::nullopt;
  const double step = typical_step(trace).value;
  if (step * (1 - kSlack) > window.value) return neighbour_slopes(trace);
  const auto [most, least] = bounds(window, step);
  Steepest steepest;
  std::size_t end = 0;
  std::size_t gap = 0;
  for (std::size_t i = 0; i + 1 < trace.size(); ++i) {
    const double limit = trace.seconds[i] + most;
    while (end + 1 < trace.size() && trace.seconds[end + 1] <= limit) ++end;
    const double from = trace.seconds[i];
    const double to = trace.seconds[end];
    if (end > i && to - from > least && !holds_gap(trace.gaps, gap, from, to)) {
      steepest.see((trace.celsius[end] - trace.celsius[i]) / (to - from), from, to);
    }
  }
  return steepest.answer();
}

}  // namespace handlot::reflow
