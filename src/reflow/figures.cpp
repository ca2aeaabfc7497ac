#include "reflow/figures.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace handlot::reflow {

namespace {

/// When the straight line between readings i and i + 1 meets `level`.
double meets(const Trace& trace, std::size_t i, double level) {
  const double rise = trace.celsius[i + 1] - trace.celsius[i];
  const double share = (level - trace.celsius[i]) / rise;
  return trace.seconds[i] + share * (trace.seconds[i + 1] - trace.seconds[i]);
}

}  // namespace

Peak peak(const Trace& trace) {
  assert(!trace.empty());
  const auto top = std::max_element(trace.celsius.begin(), trace.celsius.end());
  const auto first = static_cast<std::size_t>(top - trace.celsius.begin());
  std::size_t last = trace.size() - 1;
  while (trace.celsius[last] < *top) --last;
  return {Celsius(*top), Seconds(trace.seconds[first]), Seconds(trace.seconds[last])};
}

std::vector<Crossing> crossings(const Trace& trace, Celsius level) {
  std::vector<Crossing> all;
  for (std::size_t i = 0; i + 1 < trace.size(); ++i) {
    const bool above = trace.celsius[i] >= level.value;
    const bool then = trace.celsius[i + 1] >= level.value;
    if (above != then) all.push_back({Seconds(meets(trace, i, level.value)), then});
  }
  return all;
}

std::vector<Crossing> settled_crossings(const Trace& trace, Celsius level, Kelvin band) {
  std::vector<Crossing> all;
  if (trace.empty()) return all;
  bool above = trace.celsius.front() >= level.value;
  bool waiting = false;  // it has crossed, but not yet got `band` beyond
  double since = 0;
  for (std::size_t i = 0; i + 1 < trace.size(); ++i) {
    const double next = trace.celsius[i + 1];
    const bool crossed = (trace.celsius[i] >= level.value) != (next >= level.value);
    if (crossed && (next >= level.value) != above && !waiting) {
      waiting = true;
      since = meets(trace, i, level.value);
    }
    const double beyond = above ? level.value - next : next - level.value;
    if (beyond >= band.value && waiting) {
      above = !above;
      all.push_back({Seconds(since), above});
      waiting = false;
    } else if (beyond < -band.value) {
      waiting = false;  // it came back before it had settled
    }
  }
  return all;
}

Seconds time_above(const Trace& trace, Celsius level) {
  double total = 0;
  for (std::size_t i = 0; i + 1 < trace.size(); ++i) {
    const bool above = trace.celsius[i] >= level.value;
    const bool then = trace.celsius[i + 1] >= level.value;
    if (above && then) {
      total += trace.seconds[i + 1] - trace.seconds[i];
    } else if (above != then) {
      const double time = meets(trace, i, level.value);
      total += then ? trace.seconds[i + 1] - time : time - trace.seconds[i];
    }
  }
  return Seconds(total);
}

std::optional<Seconds> first_reach(const Trace& trace, Celsius level) {
  if (trace.empty()) return std::nullopt;
  if (trace.celsius.front() >= level.value) return Seconds(trace.seconds.front());
  for (std::size_t i = 0; i + 1 < trace.size(); ++i) {
    if (trace.celsius[i + 1] >= level.value) return Seconds(meets(trace, i, level.value));
  }
  return std::nullopt;
}

std::optional<Seconds> last_leave(const Trace& trace, Celsius level) {
  if (trace.empty() || trace.celsius.back() >= level.value) return std::nullopt;
  for (std::size_t i = trace.size() - 1; i > 0; --i) {
    if (trace.celsius[i - 1] >= level.value) return Seconds(meets(trace, i - 1, level.value));
  }
  return std::nullopt;
}

std::optional<Seconds> rise_time(const Trace& trace, Celsius from, Celsius to) {
  if (trace.empty() || trace.celsius.front() >= from.value) return std::nullopt;
  const auto start = first_reach(trace, from);
  const auto end = first_reach(trace, to);
  if (!start || !end) return std::nullopt;
  return *end - *start;
}

std::optional<Seconds> rise_begins(const Trace& trace) {
  constexpr double kLies = 40, kWarms = 1.5, kLeaves = 0.5;  // degC, K, K
  constexpr Seconds kWhile(30);
  if (trace.empty()) return std::nullopt;
  const double top = peak(trace).first.value;
  std::size_t last = static_cast<std::size_t>(std::upper_bound(trace.seconds.begin(), trace.seconds.end(), top) - trace.seconds.begin());
  while (last > 0 && trace.celsius[last - 1] > kLies) --last;
  for (std::size_t i = last; i-- > 0;) {
    const double rests = trace.celsius[i];
    const Seconds later = Seconds(trace.seconds[i]) + kWhile;
    if (later.value > top || at(trace, later).value - rests >= kWarms) continue;
    std::size_t leaves = i;
    for (std::size_t k = i; k < trace.size() && trace.seconds[k] <= later.value; ++k) {
      if (trace.celsius[k] <= rests + kLeaves) leaves = k;
    }
    return Seconds(trace.seconds[leaves]);
  }
  return std::nullopt;
}

double area_above(const Trace& trace, Celsius level) {
  return trace.empty() ? 0 : area_above(trace, level, Seconds(trace.seconds.back()));
}

double area_above(const Trace& trace, Celsius level, Seconds until) {
  double area = 0;
  for (std::size_t i = 0; i + 1 < trace.size(); ++i) {
    double t0 = trace.seconds[i];
    if (t0 >= until.value) break;
    double t1 = std::min(trace.seconds[i + 1], until.value);
    double over0 = trace.celsius[i] - level.value;
    double over1 = at(trace, Seconds(t1)).value - level.value;
    if (over0 < 0 && over1 < 0) continue;
    if (over0 < 0) t0 = meets(trace, i, level.value), over0 = 0;
    if (over1 < 0) t1 = meets(trace, i, level.value), over1 = 0;
    area += (t1 - t0) * (over0 + over1) / 2;
  }
  return area;
}

Percent window_share(double measured, double low, double high) {
  assert(low < high);
  return Percent(100.0 * (measured - (low + high) / 2) / ((high - low) / 2));
}

}  // namespace handlot::reflow
