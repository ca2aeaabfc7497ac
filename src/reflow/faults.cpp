#include "reflow/faults.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"
#include "reflow/figures.h"

namespace handlot::reflow {

std::string_view word(FaultKind kind) {
  switch (kind) {
    case FaultKind::noise:
      return "noise";
    case FaultKind::open_junction:
      return "open-junction";
    case FaultKind::range_ends:
      return "range-ends";
    case FaultKind::frozen:
      return "frozen";
    case FaultKind::drift:
      return "drift";
    case FaultKind::follows_air:
      return "follows-air";
    case FaultKind::warm_start:
      return "warm-start";
    case FaultKind::cold_start:
      return "cold-start";
    case FaultKind::stops_short:
      return "stops-short";
    case FaultKind::two_passes:
      return "two-passes";
  }
  return "";
}

namespace {

constexpr std::size_t kMostOfAKind = 20;  // more breaks than this and the whole stretch is one fault

std::string at_time(double s) {
  return number(s, 1) + " s";
}

struct Seen {
  const Log& log;
  std::size_t index;
  const Channel& channel;
  const Trace& trace;
  const FaultLimits& limits;
};

Fault make(const Seen& seen, FaultKind kind, double from, double to, bool spoils, std::string text) {
  return {kind,        seen.index, Seconds(from),
          Seconds(to), spoils,     fmt::format("'{}' {}", seen.channel.name, text)};
}

double start_of(const Trace& trace) {
  constexpr double kStart = 5;  // s: slower logs say how they start with their first reading alone
  std::vector<double> first;
  for (std::size_t i = 0; i < std::min<std::size_t>(5, trace.size()); ++i) {
    if (trace.seconds[i] - trace.seconds.front() <= kStart) first.push_back(trace.celsius[i]);
  }
  std::sort(first.begin(), first.end());
  return first[first.size() / 2];
}

}  // namespace

std::vector<Fault> cold_starts(const Log& log, Celsius room, const FaultLimits& limits) {
  std::vector<Fault> faults;
  for (std::size_t k = 0; k < log.channels.size(); ++k) {
    const Trace trace = trace_of(log, log.channels[k]);
    if (log.channels[k].role != ChannelRole::board || trace.size() < 5) continue;
    const double start = start_of(trace);
    if (room.value - start <= limits.below_room.value) continue;
    faults.push_back({FaultKind::cold_start, k, Seconds(trace.seconds.front()), Seconds(trace.seconds.front()), false,
                      fmt::format("'{}' starts at {} degC in a room of {} degC: its zero seems to be off, and then the board is hotter all the way than it says",
                                  log.channels[k].name, number(start, 1), number(room.value, 1))});
  }
  return faults;
}

std::vector<Fault> warm_rests(const Log& log, Celsius room, const FaultLimits& limits) {
  constexpr Seconds kRest(20);
  std::vector<Fault> faults;
  for (std::size_t k = 0; k < log.channels.size(); ++k) {
    const Trace trace = trace_of(log, log.channels[k]);
    if (log.channels[k].role != ChannelRole::board || trace.size() < 5) continue;
    const double start = start_of(trace);
    const double moved = std::abs((at(trace, Seconds(trace.seconds.front()) + kRest) - Celsius(start)).value);
    if (start > limits.warm.value || start - room.value <= limits.above_room.value || moved > 1) continue;
    faults.push_back({FaultKind::warm_start, k, Seconds(trace.seconds.front()), Seconds(trace.seconds.front()), false,
                      fmt::format("'{}' rests at {} degC in a room of {} degC before the heat comes on: the board or the oven is still warm, or the channel reads high",
                                  log.channels[k].name, number(start, 1), number(room.value, 1))});
  }
  return faults;
}

namespace {

/// Stretches of a minute whose readings scatter more than they should.
void find_noise(const Seen& seen, std::vector<Fault>& faults) {
  const Trace& t = seen.trace;
  if (typical_step(t).value > 3) return;  // at slower sampling the curve's own bends look like scatter
  constexpr double kStretch = 60;
  std::size_t start = 0;
  double from = 0, to = 0, worst = 0;
  for (std::size_t i = 0; i < t.size(); ++i) {
    if (t.seconds[i] - t.seconds[start] < kStretch && i + 1 < t.size()) continue;
    const double found = scatter(std::span(t.celsius).subspan(start, i - start + 1)).value;
    if (found > seen.limits.scatter.value) {
      if (worst == 0) from = t.seconds[start];
      to = t.seconds[i];
      worst = std::max(worst, found);
    }
    start = i;
  }
  if (worst == 0) return;
  faults.push_back(make(
      seen, FaultKind::noise, from, to, false,
      fmt::format(
          "scatters by {} K between {} and {}: look for a loose junction or wires that touch beside the bead",
          number(worst, 1), at_time(from), at_time(to))));
}

/// Jumps that no board makes, until the curve is back where it could have got to.
void find_breaks(const Seen& seen, std::vector<Fault>& faults) {
  constexpr double kJump = 8;  // K: a smaller one may be scatter at fast sampling
  const Trace& t = seen.trace;
  std::vector<Fault> found;
  for (std::size_t i = 0; i + 1 < t.size(); ++i) {
    const double step = t.celsius[i + 1] - t.celsius[i];
    if (std::abs(step) < kJump) continue;
    const auto possible = [&](std::size_t k) {
      const double change = t.celsius[k] - t.celsius[i];
      const double time = t.seconds[k] - t.seconds[i];
      return change <= seen.limits.rises.value * time && -change <= seen.limits.falls.value * time;
    };
    if (possible(i + 1)) continue;
    std::size_t back = i + 2;
    while (back < t.size() && !possible(back)) ++back;
    const bool ends = back >= t.size();
    const double to = ends ? t.seconds.back() + 1e-9 : t.seconds[back];
    found.push_back(make(seen, FaultKind::open_junction, t.seconds[i], to, true,
                         fmt::format("jumps by {} K in {} at {}{}: the junction has opened or moved",
                                     number(step, 1), at_time(t.seconds[i + 1] - t.seconds[i]),
                                     at_time(t.seconds[i + 1]), ends ? " and does not come back" : "")));
    i = back - 1;
  }
  if (found.size() > kMostOfAKind) {
    found = {make(seen, FaultKind::open_junction, found.front().from.value, found.back().to.value, true,
                  fmt::format("jumps {} times between {} and {}: the junction is loose", found.size(),
                              at_time(found.front().from.value), at_time(found.back().to.value)))};
  }
  faults.insert(faults.end(), found.begin(), found.end());
}

constexpr double kSilent = 10;  // s [practice]: a channel that is left out of the last rows only is not lost

std::string silent_from(const Seen& seen) { return fmt::format("no reading behind {}, though the log goes on to {}", at_time(seen.trace.seconds.back()), at_time(seen.log.seconds.back())); }

bool lost(const Seen& seen) { return goes_on(seen.trace) && seen.log.seconds.back() - seen.trace.seconds.back() > kSilent; }

/// Cells that are empty or say 'NaN' are no word of a logger for an open junction, but a channel that falls silent is lost.
void find_lost(const Seen& seen, std::vector<Fault>& faults) {
  if (!lost(seen)) return;
  faults.push_back(make(seen, FaultKind::open_junction, seen.trace.seconds.back(), seen.log.seconds.back(), false, "has " + silent_from(seen)));
}

void find_open(const Seen& seen, std::vector<Fault>& faults) {
  const int missing = seen.channel.open + seen.channel.out_of_range;
  if (missing == 0) return find_lost(seen, faults);
  const auto& all = seen.channel.celsius;
  const auto nan = [](double v) { return std::isnan(v); };
  const auto first = std::find_if(all.begin(), all.end(), nan) - all.begin();
  const auto last = all.rend() - std::find_if(all.rbegin(), all.rend(), nan) - 1;
  faults.push_back(make(
      seen, FaultKind::open_junction, seen.log.seconds[static_cast<std::size_t>(first)],
      seen.log.seconds[static_cast<std::size_t>(last)], false,
      fmt::format("has {} that said 'open' or 'out of range'{}", counted(missing, "reading", "readings"), lost(seen) ? ", and " + silent_from(seen) : "")));
}

/// The same reading for long while another channel moves.
void find_frozen(const Seen& seen, const std::vector<Trace>& others, std::vector<Fault>& faults) {
  const Trace& t = seen.trace;
  for (std::size_t i = 0; i < t.size();) {
    std::size_t k = i;
    while (k + 1 < t.size() && t.celsius[k + 1] == t.celsius[i]) ++k;
    const double from = t.seconds[i], to = t.seconds[k];
    if (to - from >= seen.limits.frozen.value) {
      const bool moves = std::any_of(others.begin(), others.end(), [&](const Trace& o) {
        return !o.empty() && &o != &others[seen.index] &&
               std::abs(at(o, Seconds(to)).value - at(o, Seconds(from)).value) > 10;
      });
      if (moves) {
        const double end = k + 1 == t.size() ? to + 1e-9 : to;  // held to the end, the last of them is no reading, either
        faults.push_back(make(seen, FaultKind::frozen, from, end, true,
                              fmt::format("stands at {} degC from {} to {} while others move",
                                          number(t.celsius[i], 1), at_time(from), at_time(to))));
      }
    }
    i = k + 1;
  }
}

/// Readings first to last, all equal.
struct Level {
  std::size_t first = 0, last = 0;
};

double length_of(const Level& level, const Trace& t) { return t.seconds[level.last] - t.seconds[level.first]; }

std::vector<Level> levels_of(const Trace& t) {
  std::vector<Level> levels;
  for (std::size_t i = 0; i < t.size(); ++i) {
    if (levels.empty() || t.celsius[i] != t.celsius[levels.back().first]) levels.push_back({i, i});
    levels.back().last = i;
  }
  return levels;
}

/// The smallest step that the readings take.
double resolution(const Trace& t) {
  double least = 1e9;
  for (std::size_t i = 0; i + 1 < t.size(); ++i) {
    if (const double step = std::abs(t.celsius[i + 1] - t.celsius[i]); step > 1e-6) least = std::min(least, step);
  }
  return least;
}

/// Three readings in a row lie off a line by more than rounding does, a quarter of the time: what is measured, and no drawn curve.
bool scatters_below(const Trace& t, double top, double below, double step) {
  std::vector<double> off;
  for (std::size_t i = 1; i + 1 < t.size(); ++i) {
    if (t.celsius[i] < top && t.celsius[i] > top - below) off.push_back(std::abs(t.celsius[i + 1] - 2 * t.celsius[i] + t.celsius[i - 1]));
  }
  const auto quarter = off.begin() + static_cast<std::ptrdiff_t>(off.size() * 3 / 4);
  std::nth_element(off.begin(), quarter, off.end());
  return quarter != off.end() && *quarter > 1.5 * step;
}

/// A top cut off flat, of a curve that scatters elsewhere: one that is drawn, or as smooth as the readings are coarse, may well be held. A peak falls off with the square of the time: half as long again outside a flat as that is wide it has lost
/// 3 to 5 steps of the readings. What has lost far more, on both sides, was cut off. A logger that holds each reading for a while
/// has flats below its top, too.
void find_range_end(const Seen& seen, std::vector<Fault>& faults) {
  constexpr std::size_t kReadings = 5;
  constexpr double kSteps = 10, kEdge = 3;  // steps, K [practice]
  constexpr double kBelow = 60;             // K under the top that flats are looked for in
  constexpr double kLonger = 3;             // times the longest of these
  const Trace& t = seen.trace;
  const double top = *std::max_element(t.celsius.begin(), t.celsius.end());
  Level flat;
  double other = 0;
  for (const Level& level : levels_of(t)) {
    const double reading = t.celsius[level.first];
    if (reading == top && length_of(level, t) > length_of(flat, t)) flat = level;
    if (reading < top && reading > top - kBelow) other = std::max(other, length_of(level, t));
  }
  const double wide = length_of(flat, t), from = t.seconds[flat.first], to = t.seconds[flat.last];
  if (flat.last - flat.first + 1 < kReadings || wide < kLonger * other || from - wide / 2 < t.seconds.front() || to + wide / 2 > t.seconds.back()) return;
  const double edge = std::max(kEdge, kSteps * resolution(t));
  if (!scatters_below(t, top, kBelow, resolution(t)) || top - at(t, Seconds(from - wide / 2)).value < edge || top - at(t, Seconds(to + wide / 2)).value < edge) return;
  faults.push_back(make(seen, FaultKind::range_ends, from, to, false,
                        fmt::format("stands at its highest, {} degC, from {} to {}, with a sharp edge before and behind: the logger seems to read no higher, and the peak lies above", number(top, 1), at_time(from), at_time(to))));
}

struct Lag {
  double from, to;
  bool follows;
};

/// The lag behind the air in one stretch, from T' = (air - T) / tau by sums; nothing if the air hardly moves.
std::optional<Lag> lag_in(const Trace& board, const Trace& air, double from, double to, double shortest) {
  double rise_rise = 0, rise_drive = 0, squares = 0, low = 1e9, high = -1e9, drive = 0;
  const double start = at(board, Seconds(from)).value;
  int n = 0;
  for (double t = from + 1; t <= to; t += 1, ++n) {
    const double a = at(air, Seconds(t - 0.5)).value;
    const double b = at(board, Seconds(t - 0.5)).value;
    drive += a - b;
    const double rise = at(board, Seconds(t)).value - start;
    rise_rise += rise * rise;
    rise_drive += rise * drive;
    squares += (a - b) * (a - b);
    low = std::min(low, a), high = std::max(high, a);
  }
  if (high - low < 15 || n == 0 || rise_rise == 0) return std::nullopt;
  const double apart = std::sqrt(squares / n);
  const double tau = rise_drive / rise_rise;
  return Lag{from, to, apart < 2.5 || (std::abs(tau) < shortest && apart < 15)};
}

/// A board channel whose junction has lifted reads the air.
void find_air(const Seen& seen, const std::vector<Trace>& traces, std::vector<Fault>& faults) {
  constexpr double kStretch = 40;
  for (std::size_t k = 0; k < traces.size(); ++k) {
    const ChannelRole role = seen.log.channels[k].role;
    if ((role != ChannelRole::air && role != ChannelRole::control) || traces[k].empty()) continue;
    std::vector<Lag> lags;
    const double first = seen.trace.seconds.front(), last = seen.trace.seconds.back();
    if (last - first > 20000) return;  // not one pass
    for (double t = first; t + kStretch <= last; t += kStretch / 2) {
      if (const auto lag = lag_in(seen.trace, traces[k], t, t + kStretch, seen.limits.air_lag.value))
        lags.push_back(*lag);
    }
    // The longest run of stretches that follow: two in a row, or it is chance.
    std::size_t best = 0, best_end = 0, run = 0;
    for (std::size_t i = 0; i < lags.size(); ++i) {
      run = lags[i].follows ? run + 1 : 0;
      if (run > best) best = run, best_end = i;
    }
    if (best < 2) continue;
    const bool whole = best * 2 >= lags.size();
    const double from = whole ? first : lags[best_end + 1 - best].from;
    const double to = whole ? last : lags[best_end].to;
    faults.push_back(
        make(seen, FaultKind::follows_air, from, to + 1e-9, true,
             fmt::format("follows '{}' {}: its junction is not on the board", seen.log.channels[k].name,
                         whole ? std::string("all the way")
                               : fmt::format("from {} to {}", at_time(from), at_time(to)))));
    return;
  }
}

void find_ends(const Seen& seen, std::vector<Fault>& faults) {
  const Trace& t = seen.trace;
  const double start = start_of(t);
  if (start > seen.limits.warm.value) {
    // While it heats, the first reading and not their middle is where the log starts.
    const double first = t.celsius.front() > seen.limits.warm.value ? t.celsius.front() : start;
    faults.push_back(make(
        seen, FaultKind::warm_start, t.seconds.front(), t.seconds.front(), false,
        fmt::format("starts at {} degC: let the board return to the room's temperature", number(first, 1))));
  }
  const bool spoilt = std::any_of(faults.begin(), faults.end(), [&](const Fault& f) { return f.channel == seen.index && f.spoils && f.to.value >= t.seconds.back(); });
  if (!spoilt && t.celsius.back() >= peak(t).temperature.value - 0.5 && t.celsius.back() > start + 20) {
    faults.push_back(make(seen, FaultKind::stops_short, t.seconds.back(), t.seconds.back(), false,
                          fmt::format("ends at its highest, {} degC: {} before the peak is over", number(t.celsius.back(), 1),
                                      goes_on(t) ? "it was lost" : "the log stops")));
  }
}

/// Channels that can be compared while all is cold: those that do not move yet.
bool rests(const Log& log, const std::vector<Trace>& traces, std::size_t k) {
  const Trace& t = traces[k];
  return log.channels[k].role != ChannelRole::set_curve && t.size() > 5 &&
         std::abs(t.celsius[5] - t.celsius[0]) < 1.5;
}

void find_drift(const Log& log, const std::vector<Trace>& traces, const FaultLimits& limits,
                std::vector<Fault>& faults) {
  std::vector<double> starts;
  for (std::size_t k = 0; k < traces.size(); ++k) {
    if (rests(log, traces, k)) starts.push_back(start_of(traces[k]));
  }
  if (starts.size() < 2) return;
  std::sort(starts.begin(), starts.end());
  const double middle = starts[(starts.size() - 1) / 2];
  if (middle > limits.warm.value) return;
  for (std::size_t k = 0; k < traces.size(); ++k) {
    if (!rests(log, traces, k)) continue;
    const double apart = start_of(traces[k]) - middle;
    if (std::abs(apart) <= limits.start_disagreement.value) continue;
    const Seen seen{log, k, log.channels[k], traces[k], limits};
    faults.push_back(make(
        seen, FaultKind::drift, traces[k].seconds.front(), traces[k].seconds.front(), false,
        fmt::format("starts {} K {} the others while all is cold: check it in ice water or against another",
                    number(std::abs(apart), 1), apart > 0 ? "above" : "below")));
  }
}

}  // namespace

std::vector<Fault> find_faults(const Log& log, const FaultLimits& limits) {
  std::vector<Trace> traces;
  for (const Channel& channel : log.channels) traces.push_back(trace_of(log, channel));
  std::vector<Fault> faults;
  for (std::size_t k = 0; k < log.channels.size(); ++k) {
    if (log.channels[k].role == ChannelRole::set_curve || log.channels[k].role == ChannelRole::other)
      continue;
    const Seen seen{log, k, log.channels[k], traces[k], limits};
    find_open(seen, faults);
    if (traces[k].size() < 5) continue;
    find_noise(seen, faults);
    find_breaks(seen, faults);
    if (log.channels[k].role != ChannelRole::board) continue;
    find_frozen(seen, traces, faults);
    find_range_end(seen, faults);
    find_air(seen, traces, faults);
    find_ends(seen, faults);
  }
  find_drift(log, traces, limits, faults);
  std::stable_sort(faults.begin(), faults.end(), [](const Fault& a, const Fault& b) {
    return a.channel != b.channel ? a.channel < b.channel : a.from < b.from;
  });
  return faults;
}

}  // namespace handlot::reflow
