// One figure of one curve, and how far off it may be.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/text.h"
#include "reflow/verdict.h"

namespace handlot::reflow {

std::optional<SlopeRange> slopes_of(const Trace& trace, const Criterion& c) {
  if (!c.until || trace.empty()) return least_squares_slopes(trace, c.window);
  if (c.kind == FigureKind::rise) {
    const auto reached = first_reach(trace, *c.until);
    return least_squares_slopes(reached ? cut(trace, Seconds(trace.seconds.front()), *reached) : trace, c.window);
  }
  const Seconds end = last_leave(trace, *c.until).value_or(Seconds(trace.seconds.back()));
  return least_squares_slopes(cut(trace, peak(trace).last, std::max(end, peak(trace).last)), c.window);
}

std::optional<double> figure_value(const Trace& t, const Criterion& c, Kelvin shift,
                                   std::optional<Seconds> entry) {
  if (t.size() < 2) return std::nullopt;
  const Peak top = peak(t);
  const Celsius level = c.level - shift;
  switch (c.kind) {
    case FigureKind::peak:
      return (top.temperature + shift).value;
    case FigureKind::above:
      return time_above(t, level).value;
    case FigureKind::near_peak:
      return time_above(t, top.temperature - c.within).value;
    case FigureKind::soak: {
      const auto time = rise_time(t, level, c.level2 - shift);
      return time ? std::optional(time->value) : std::nullopt;
    }
    case FigureKind::rise: {
      const auto slopes = slopes_of(t, c);
      return slopes ? std::optional(slopes->steepest_rise.value.value) : std::nullopt;
    }
    case FigureKind::fall: {
      const auto slopes = slopes_of(t, c);
      return slopes ? std::optional(slopes->steepest_fall.value.value) : std::nullopt;
    }
    case FigureKind::rise_above: {
      const auto up = first_reach(t, level);
      if (!up || *up >= top.first) return std::nullopt;
      return (top.temperature - level).value / (top.first - *up).value;
    }
    case FigureKind::fall_mean: {
      const auto down = last_leave(t, level);
      if (!down || *down <= top.last) return std::nullopt;
      return (level - top.temperature).value / (*down - top.last).value;
    }
    case FigureKind::time_to_peak: {
      if (entry) return (top.first - *entry).value;
      const auto from = first_reach(t, level);
      if (!from) return std::nullopt;
      return (top.first - std::max(*from, rise_begins(t).value_or(*from))).value;
    }
  }
  return std::nullopt;
}

namespace {

constexpr double kInfinite = std::numeric_limits<double>::infinity();
constexpr double kSlow = 3;  // s: at slower sampling the curve's own bends look like scatter
constexpr double kRounding = 0.05;  // K: scatter below this is the logger's rounding

/// The curve with every gap bent as far up (sign 1) or down (sign -1) as its slopes allow.
Trace bent(const Trace& t, double sign, double slope_limit) {
  Trace out;
  out.seconds.reserve(t.size() + t.gaps.size());
  out.celsius.reserve(t.size() + t.gaps.size());
  std::size_t gap = 0;
  for (std::size_t i = 0; i < t.size(); ++i) {
    out.seconds.push_back(t.seconds[i]);
    out.celsius.push_back(t.celsius[i]);
    while (gap < t.gaps.size() && t.gaps[gap].to.value <= t.seconds[i]) ++gap;
    if (gap == t.gaps.size() || i + 1 == t.size() || t.gaps[gap].from.value > t.seconds[i]) continue;
    const double length = t.seconds[i + 1] - t.seconds[i];
    const double change = t.celsius[i + 1] - t.celsius[i];
    const double limit = std::max(slope_limit, 1.2 * std::abs(change) / length);
    out.seconds.push_back(t.seconds[i] + length / 2 + sign * change / (2 * limit));
    out.celsius.push_back((t.celsius[i] + t.celsius[i + 1]) / 2 + sign * limit * length / 2);
  }
  return out;
}

/// How steep the curve may have been unseen: half as much again as it was ever seen, at least 1 K/s.
/// [practice]
double unseen_slope(const Trace& t) {
  const auto slopes = least_squares_slopes(t, Seconds(10));
  if (!slopes) return 3;
  return std::max(1.0, 1.5 * std::max(slopes->steepest_rise.value.value, -slopes->steepest_fall.value.value));
}

struct Spanned {
  double low, high;
  void see(double v) { low = std::min(low, v), high = std::max(high, v); }
  double width() const { return high - low; }
};

/// Soak bounds with gaps: each crossing may move by itself.
void widen_soak(Spanned& span, const Trace& base, const Trace& up, const Trace& down, const Criterion& c) {
  const auto reach = [&](const Trace& t, Celsius level) {
    return first_reach(t, level).value_or(first_reach(base, level).value_or(Seconds(0))).value;
  };
  const double from_early = reach(up, c.level), from_late = reach(down, c.level);
  const double to_early = reach(up, c.level2), to_late = reach(down, c.level2);
  span.see(std::max(0.0, to_early - from_late));
  span.see(to_late - from_early);
}

/// A slope may have been steeper in this gap; one that looks at a part of the curve only does not see the others.
bool counts(const Trace& t, const Criterion& c, const Gap& gap) {
  if (!c.until) return true;
  if (c.kind == FigureKind::fall) return gap.from >= peak(t).last;
  const auto reached = first_reach(t, *c.until);
  return !reached || gap.from < *reached;
}

Spanned through_gaps(const Trace& t, const Criterion& c, double value, std::optional<Seconds> entry) {
  Spanned span{value, value};
  if (t.gaps.empty()) return span;
  const double limit = unseen_slope(t);
  const Trace up = bent(t, 1, limit), down = bent(t, -1, limit);
  if (c.kind == FigureKind::rise || c.kind == FigureKind::fall) {
    // Unseen slopes count only where they are as steep as the mean across the gap suggests.
    for (const Gap& gap : t.gaps) {
      if (!counts(t, c, gap)) continue;
      const double mean = (at(t, gap.to) - at(t, gap.from)).value / (gap.to - gap.from).value;
      span.see(c.kind == FigureKind::rise ? std::max(value, 1.5 * mean) : std::min(value, 1.5 * mean));
    }
    return span;
  }
  for (const Trace* bend : {&up, &down}) {
    if (const auto v = figure_value(*bend, c, Kelvin(0), entry)) span.see(*v);
  }
  if (c.kind == FigureKind::soak) widen_soak(span, t, up, down, c);
  return span;
}

/// How far the highest of several noisy readings lies above the curve, in units of their scatter; n = 1: 0.
double highest_of(std::size_t n) {
  return n < 2 ? 0.0 : 0.75 * std::sqrt(2 * std::log(static_cast<double>(n)));
}

constexpr double kSurely = 1.5;  // times the scatter: a one-sided bound that holds 14 times in 15

/// The last digit that the readings are given with: 1, 0.1, 0.01 or 0.001 K; 0 where they have more digits.
double last_digit(const Trace& t) {
  for (const double digit : {1.0, 0.1, 0.01, 0.001}) {
    const auto whole = [&](double v) { return std::abs(v / digit - std::round(v / digit)) < 1e-6; };
    if (std::all_of(t.celsius.begin(), t.celsius.end(), whole)) return digit;
  }
  return 0;
}

/// Over its bound by less than the last digit of the readings can turn a line: that is no proof.
void widen_for_digits(Spanned& span, const Trace& t, const Criterion& c) {
  const double value = span.low;
  if ((!c.high || value <= *c.high) && (!c.low || value >= *c.low)) return;
  const double step = std::max(typical_step(t).value, 1e-9);
  const double n = std::max(2.0, std::floor(c.window.value / step) + 1);
  // Half a digit at each of n readings, down before the middle and up behind it.
  const double most = 1.5 * last_digit(t) / step * n / (n * n - 1);
  const double beyond = c.high && value > *c.high ? value - *c.high : *c.low - value;
  if (beyond > most + 1e-9) return;
  span.see(value - most - 1e-9);
  span.see(value + most + 1e-9);
}

void widen_slope(Spanned& span, const Trace& t, const Criterion& c, Kelvin noise) {
  const double step = std::max(typical_step(t).value, 1e-9);
  const double n = std::max(2.0, c.window.value / step + 1);
  const double spread = std::sqrt(n * c.window.value * c.window.value / 12 * (n + 1) / (n - 1));
  const double slope_error = noise.value / spread;
  // The steepest of many windows is more likely too steep than not.
  const double toward = c.kind == FigureKind::rise ? 1 : -1;
  const double value = span.low;
  span.see(value - toward * 3 * slope_error);
  span.see(value + toward * slope_error);
}

void widen_peak(Spanned& span, const Trace& t, Kelvin error, Kelvin noise) {
  const double value = span.low;
  std::size_t near = 0;
  for (const double r : t.celsius) near += r >= value - 2 * noise.value ? 1u : 0u;
  const double bias = highest_of(near);
  span.see(value - error.value - (kSurely + bias) * noise.value);
  span.see(value + error.value + std::max(0.0, kSurely - bias) * noise.value);
}

/// A sensor's error moves both crossings of a soak together; scatter moves each by itself.
void widen_soak(Spanned& span, const Trace& t, const Criterion& c, Kelvin error, Kelvin noise) {
  const Kelvin n = kSurely * noise;
  for (const Kelvin e : {error, -error}) {
    const auto from_early = first_reach(t, c.level - e - n), from_late = first_reach(t, c.level - e + n);
    const auto to_early = first_reach(t, c.level2 - e - n), to_late = first_reach(t, c.level2 - e + n);
    if (to_early && from_late) span.see(std::max(0.0, (*to_early - *from_late).value));
    if (from_early) span.see(to_late ? (*to_late - *from_early).value : kInfinite);
  }
}

Spanned through_error(const Trace& t, const Criterion& c, double value, Kelvin error, Kelvin noise,
                      std::optional<Seconds> entry) {
  Spanned span{value, value};
  const bool slope = c.kind == FigureKind::rise || c.kind == FigureKind::fall;
  if (slope && noise.value == 0) return widen_for_digits(span, t, c), span;
  if (error.value + noise.value == 0) return span;
  switch (c.kind) {
    case FigureKind::rise:
    case FigureKind::fall:
      widen_slope(span, t, c, noise);
      break;
    case FigureKind::peak:
      widen_peak(span, t, error, noise);
      break;
    case FigureKind::soak:
      widen_soak(span, t, c, error, noise);
      break;
    default:
      for (const double sign : {1.0, -1.0}) {
        if (const auto v = figure_value(t, c, sign * (error + kSurely * noise), entry)) span.see(*v);
      }
  }
  return span;
}

/// A peak between two readings: a quarter of the bend at the top (an eighth would be a parabola's).
double hidden_peak(const Trace& t) {
  const auto top =
      static_cast<std::size_t>(std::max_element(t.celsius.begin(), t.celsius.end()) - t.celsius.begin());
  if (top == 0 || top + 1 >= t.size()) return 0;
  return std::abs(t.celsius[top - 1] - 2 * t.celsius[top] + t.celsius[top + 1]) / 4;
}

/// A curve that has begun before its log does: how steep it may have been unseen.
void widen_late_start(const Trace& t, Figure& f) {
  constexpr double kLies = 60;  // degC: hotter than that no board lies that was not being heated [practice]
  const double first = t.celsius.front();
  if (first <= FaultLimits().warm.value) return;
  const Seconds begin(t.seconds.front());
  const double seen = std::max(0.0, (at(t, begin + Seconds(10)).value - first) / 10);
  const double unseen = first > kLies ? kInfinite : 1.5 * seen;
  if (unseen <= f.high) return;
  f.high = unseen;
  f.missing = fmt::format("the log starts at {} degC, and how the board got there is not in it", number(first, 1));
}

/// The readings go down for so far that no oven heats again behind it [practice].
bool ends_turned(const Trace& t) {
  constexpr double kTurned = 10;  // K
  return t.celsius.back() <= peak(t).temperature.value - kTurned;
}

/// How the readings end, as the front of a sentence.
std::string end_of(const Trace& t) {
  const std::string last = number(t.celsius.back(), 1);
  if (!goes_on(t)) return fmt::format("the log ends at {} degC", last);
  return fmt::format("the readings end at {} degC, {} s before the log does", last, number((t.gaps.back().to - t.gaps.back().from).value, 0));
}

/// What a curve may still come to that ends, or starts, before it has turned down.
void widen_unturned(const Trace& t, const Criterion& c, Figure& f) {
  const bool upward = c.kind == FigureKind::rise;
  const bool settled = c.kind == FigureKind::soak || (upward && c.until && first_reach(t, *c.until));
  if (settled || (upward && f.high >= unseen_slope(t))) return;
  f.high = upward ? unseen_slope(t) : kInfinite;
  if (c.kind == FigureKind::near_peak || c.kind == FigureKind::rise_above) f.low = 0;
  if (c.kind == FigureKind::fall_mean) f.low = -kInfinite;
  f.missing = ends_turned(t) ? fmt::format("the log starts at {} degC, its highest", number(t.celsius.front(), 1)) : end_of(t) + ", before the peak is over";
}

/// What the log does not show because it starts too late or ends too soon.
void widen_ends(const Trace& t, const Criterion& c, Figure& f, std::optional<Seconds> entry) {
  const double last = t.celsius.back();
  const double first = t.celsius.front();
  if (c.kind == FigureKind::above && last >= c.level.value) {
    f.high = kInfinite;
    f.missing = fmt::format("{}, still above {} degC", end_of(t), number(c.level.value, 1));
  } else if (c.kind == FigureKind::above && first >= c.level.value) {
    f.high = kInfinite;
    f.missing = fmt::format("the log starts at {} degC, already above {} degC", number(first, 1),
                            number(c.level.value, 1));
  } else if (c.kind != FigureKind::fall && peak_unseen(t)) {
    widen_unturned(t, c, f);
  } else if (c.kind == FigureKind::time_to_peak && !entry && first > c.level.value && !rise_begins(t)) {
    const Trace head = cut(t, Seconds(t.seconds.front()), Seconds(t.seconds.front() + 10));
    const auto slopes = least_squares_slopes(head, Seconds(5));
    const double slope = std::max(0.1, slopes ? slopes->steepest_rise.value.value / 2 : 0.1);
    f.high += (first - c.level.value) / slope;
    f.missing = fmt::format("the log starts at {} degC: say when the board went in", number(first, 1));
  } else if (c.kind == FigureKind::rise) {
    widen_late_start(t, f);
  } else if (c.kind == FigureKind::fall && last > peak(t).temperature.value - 50) {
    f.low = -kInfinite;
    f.missing = end_of(t) + ", before the board has cooled";
  }
}

}  // namespace

bool peak_unseen(const Trace& t) {
  constexpr double kHot = 60;  // degC: what starts at its highest and cooler than that was not heated [practice]
  return !t.empty() && (!ends_turned(t) || (t.celsius.front() > kHot && t.celsius.front() >= peak(t).temperature.value));
}

bool may_reach(const Trace& t, Celsius level) {
  return t.size() < 2 || peak_unseen(t) || peak(bent(t, 1, unseen_slope(t))).temperature >= level;
}

std::optional<Figure> measure(const Trace& trace, const Criterion& criterion, const JudgeOptions& options) {
  if (trace.size() < 2) return std::nullopt;
  const auto value = figure_value(trace, criterion, Kelvin(0), options.oven_entry);
  if (!value) return std::nullopt;
  const Kelvin seen = scatter(trace);
  const Kelvin noise = seen.value > kRounding ? seen : Kelvin(0);
  const Kelvin error = options.sensor_error.value_or(Kelvin(0));
  constexpr Kelvin kGood(0.3);  // a good thermocouple input scatters by 0.1 to 0.3 K: docs/why/reflow-faults.md
  const Spanned gaps = through_gaps(trace, criterion, *value, options.oven_entry);
  const Spanned errors = through_error(trace, criterion, *value, error, noise, options.oven_entry);
  Figure f{*value, gaps.low + errors.low - *value, gaps.high + errors.high - *value, "", false};
  if (criterion.kind == FigureKind::peak) f.high += hidden_peak(trace);
  if (gaps.width() > errors.width()) {
    f.missing = fmt::format("readings from {} to {} s", number(trace.gaps.front().from.value, 1),
                            number(trace.gaps.back().to.value, 1));
  } else if (errors.width() > 0) {
    const bool slope = criterion.kind == FigureKind::rise || criterion.kind == FigureKind::fall;
    f.on_limit = gaps.width() == 0 && noise.value > 0 && noise <= kGood && noise >= error && typical_step(trace).value <= kSlow;
    f.missing = slope && noise.value == 0 ? fmt::format("readings finer than {} K", number(last_digit(trace), 3))
                : error > noise
                    ? fmt::format("a sensor better than +-{} K", number(error.value, 1))
                    : typical_step(trace).value > kSlow
                        ? fmt::format("readings more often than every {} s", number(typical_step(trace).value, 0))
                        : f.on_limit ? fmt::format("it lies on the limit within the scatter of the readings, {} K", number(noise.value, 1))
                        : fmt::format("a quieter log: readings scatter by {} K", number(noise.value, 1));
  }
  const std::string scattered = f.missing;
  widen_ends(trace, criterion, f, options.oven_entry);
  f.on_limit = f.on_limit && f.missing == scattered;  // what is not in the log is more than scatter
  return f;
}

}  // namespace handlot::reflow
