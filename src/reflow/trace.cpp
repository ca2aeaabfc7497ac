#include "reflow/trace.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace handlot::reflow {

Celsius at(const Trace& trace, Seconds time) {
  assert(!trace.empty());
  const auto after = std::upper_bound(trace.seconds.begin(), trace.seconds.end(), time.value);
  if (after == trace.seconds.begin()) return Celsius(trace.celsius.front());
  if (after == trace.seconds.end()) return Celsius(trace.celsius.back());
  const auto i = static_cast<std::size_t>(after - trace.seconds.begin());
  const double t0 = trace.seconds[i - 1];
  const double share = (time.value - t0) / (trace.seconds[i] - t0);
  return Celsius(trace.celsius[i - 1] + share * (trace.celsius[i] - trace.celsius[i - 1]));
}

bool goes_on(const Trace& trace) {
  return !trace.empty() && !trace.gaps.empty() && trace.gaps.back().from.value >= trace.seconds.back();
}

Seconds typical_step(const Trace& trace) {
  if (trace.size() < 2) return Seconds(0);
  // A sample of steps spread over the whole log: enough for a median, whatever the length.
  const std::size_t stride = std::max<std::size_t>(1, trace.size() / 10'000);
  std::vector<double> steps;
  for (std::size_t i = 1; i < trace.size(); i += stride)
    steps.push_back(trace.seconds[i] - trace.seconds[i - 1]);
  const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
  std::nth_element(steps.begin(), middle, steps.end());
  return Seconds(*middle);
}

Trace cut(const Trace& trace, Seconds from, Seconds to) {
  Trace part;
  const auto first = std::lower_bound(trace.seconds.begin(), trace.seconds.end(), from.value);
  const auto last = std::upper_bound(first, trace.seconds.end(), to.value);
  const auto offset = first - trace.seconds.begin();
  part.seconds.assign(first, last);
  part.celsius.assign(trace.celsius.begin() + offset, trace.celsius.begin() + offset + (last - first));
  for (const Gap& gap : trace.gaps) {
    if (gap.to > from && gap.from < to) part.gaps.push_back(gap);
  }
  return part;
}

Kelvin scatter(const Trace& trace) {
  return scatter(std::span<const double>(trace.celsius));
}

namespace {

/// Scatter of one reading from the differences that `weights` makes of neighbouring readings.
double scatter_from(std::span<const double> celsius, std::span<const double> weights) {
  if (celsius.size() < weights.size() + 2) return 0;
  const std::size_t count = celsius.size() - weights.size() + 1;
  const std::size_t stride = std::max<std::size_t>(1, count / 20'000);
  double norm = 0;
  for (const double w : weights) norm += w * w;
  std::vector<double> bends;
  for (std::size_t i = 0; i < count; i += stride) {
    double sum = 0;
    for (std::size_t k = 0; k < weights.size(); ++k) sum += weights[k] * celsius[i + k];
    bends.push_back(std::abs(sum));
  }
  const auto middle = bends.begin() + static_cast<std::ptrdiff_t>(bends.size() / 2);
  std::nth_element(bends.begin(), middle, bends.end());
  // Median of |x| of a normal spread is 0.6745 sigma. What lies beyond four sigma is a step, not scatter.
  const double limit = 4 * *middle / 0.67449;
  double squares = 0;
  int counted = 0;
  for (const double bend : bends) {
    if (bend > limit) continue;
    squares += bend * bend;
    ++counted;
  }
  return std::sqrt(squares / counted / norm);
}

}  // namespace

Kelvin scatter(std::span<const double> celsius) {
  // White noise looks the same in all three; the curve's own bends show less the higher the difference.
  constexpr double kSecond[] = {1, -2, 1};
  constexpr double kThird[] = {1, -3, 3, -1};
  constexpr double kFourth[] = {1, -4, 6, -4, 1};
  return Kelvin(std::min(
      {scatter_from(celsius, kSecond), scatter_from(celsius, kThird), scatter_from(celsius, kFourth)}));
}

}  // namespace handlot::reflow
