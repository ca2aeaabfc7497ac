#include "reflow/verdict.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/text.h"

namespace handlot::reflow {

std::string_view word(Answer answer) {
  switch (answer) {
    case Answer::pass:
      return "pass";
    case Answer::fail:
      return "fail";
    case Answer::undecided:
      return "undecided";
    case Answer::indicative:
      return "indicative";
    case Answer::doubtful:
      return "doubtful";
  }
  return "";
}

namespace {

int decimals(FigureKind kind) {
  return unit(kind) == "K/s" ? 2 : 1;
}

std::string amount(double value, FigureKind kind, int more = 0) {
  if (std::isinf(value)) return value > 0 ? "no end" : "minus no end";
  return number(value, decimals(kind) + more);
}

/// How many digits more a figure wants that looks like a bound and is beyond it.
int digits_apart(const Figure& f, const Criterion& c) {
  int more = 0;
  for (const double value : {f.value, f.low, f.high}) {
    for (const auto& bound : {c.low, c.high}) {
      if (!bound || std::isinf(value) || std::abs(value - *bound) < 1e-8) continue;
      while (more < 4 && amount(value, c.kind, more) == amount(*bound, c.kind, more)) ++more;
    }
  }
  return more;
}

std::string bounds(const Criterion& c) {
  const std::string_view u = unit(c.kind);
  if (c.low && c.high) return fmt::format("{} to {} {}", amount(*c.low, c.kind), amount(*c.high, c.kind), u);
  if (c.high) return fmt::format("at most {} {}", amount(*c.high, c.kind), u);
  if (c.low) return fmt::format("at least {} {}", amount(*c.low, c.kind), u);
  return "no bound";
}

Answer outside(const Criterion& c) { return c.spoils ? Answer::fail : Answer::doubtful; }

Answer compare(const Figure& f, const Criterion& c) {
  if ((c.low && f.high < *c.low) || (c.high && f.low > *c.high)) return outside(c);
  if ((!c.low || f.low >= *c.low) && (!c.high || f.high <= *c.high)) return Answer::pass;
  if (f.on_limit && !c.spoils) return Answer::pass;
  return Answer::undecided;
}

/// Share of the window used; with one bound only, of the way from zero to it (temperatures have no such
/// zero).
std::optional<Percent> share_of(double value, const Criterion& c) {
  if (c.low && c.high && *c.low < *c.high) return window_share(value, *c.low, *c.high);
  if (c.kind == FigureKind::peak) return std::nullopt;
  if (c.high && *c.high > 0) return Percent(100 * value / *c.high);
  if (c.low && *c.low < 0) return Percent(100 * value / *c.low);
  return std::nullopt;
}

std::string why_of(const Judged& j, const Log& log) {
  const Criterion& c = j.criterion;
  const std::string& name = log.channels[j.channel].name;
  const Figure& f = *j.figure;
  const bool on_limit = f.on_limit && ((c.low && f.low < *c.low && f.high >= *c.low) || (c.high && f.high > *c.high && f.low <= *c.high));
  const int more = j.answer == Answer::pass && !on_limit ? 0 : digits_apart(f, c);
  std::string text = fmt::format("{}: {} is {} {}", name, describe(c), amount(f.value, c.kind, more), unit(c.kind));
  const std::string low = amount(f.low, c.kind, more), high = amount(f.high, c.kind, more);
  if (low != high) text += fmt::format(" ({} to {})", low, high);
  text += fmt::format(", {} asks for {}", c.who, bounds(c));
  if (on_limit) text += "; " + f.missing;
  else if (j.answer == Answer::undecided) text += "; missing: " + f.missing;
  return text;
}

/// A curve that does not get there fails for certain if it stays below; a log that starts too late leaves it
/// open.
Judged judge_missing(Judged j, const Trace& trace, const Log& log) {
  const Criterion& c = j.criterion;
  const std::string& name = log.channels[j.channel].name;
  const double top = trace.empty() ? 0 : peak(trace).temperature.value;
  const Celsius reach = c.kind == FigureKind::soak ? c.level2 : c.level;
  if (trace.size() >= 2 && !may_reach(trace, reach)) {
    j.answer = outside(c);
    j.why = fmt::format("{}: {} cannot be, since it gets no higher than {} degC ({})", name, describe(c),
                        number(top, 1), c.who);
  } else {
    j.answer = Answer::undecided;
    j.why = fmt::format("{}: {} is not in the log ({}); missing: a log from cold to cold without gaps", name,
                        describe(c), c.who);
  }
  return j;
}

Judged judge_one(const Criterion& c, std::size_t channel, const Trace& trace, const Log& log,
                 const JudgeOptions& options) {
  Judged j;
  j.criterion = c;
  j.channel = channel;
  j.figure = measure(trace, c, options);
  if (!j.figure) return judge_missing(std::move(j), trace, log);
  j.answer = compare(*j.figure, c);
  j.share = share_of(j.figure->value, c);
  j.why = why_of(j, log);
  return j;
}

/// Worse figures first: what spoils boards or may, what is doubtful or may be; then by share.
bool worse(const Judged& a, const Judged& b) {
  const auto rank = [](const Judged& j) {
    if (j.answer == Answer::undecided) return j.criterion.spoils ? 3 : 1;
    return j.answer == Answer::fail ? 4 : j.answer == Answer::doubtful ? 2 : 0;
  };
  if (rank(a) != rank(b)) return rank(a) > rank(b);
  return std::abs(a.share.value_or(Percent(0)).value) > std::abs(b.share.value_or(Percent(0)).value);
}

/// The trace without the stretches that a fault spoils.
Trace trusted(const Log& log, std::size_t channel, const std::vector<Fault>& faults) {
  Trace all = trace_of(log, log.channels[channel]);
  const bool any = std::any_of(faults.begin(), faults.end(),
                               [&](const Fault& f) { return f.channel == channel && f.spoils; });
  if (!any) return all;
  Trace kept;
  std::vector<char> keep(all.size(), 1);
  for (const Fault& f : faults) {
    if (f.channel != channel || !f.spoils) continue;
    const auto from =
        std::upper_bound(all.seconds.begin(), all.seconds.end(), f.from.value) - all.seconds.begin();
    const auto to =
        std::lower_bound(all.seconds.begin(), all.seconds.end(), f.to.value) - all.seconds.begin();
    std::fill(keep.begin() + from, keep.begin() + std::max(from, to), static_cast<char>(0));
  }
  kept.gaps = all.gaps;
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (!keep[i]) continue;
    if (!kept.empty() && !keep[i - 1])
      kept.gaps.push_back({Seconds(kept.seconds.back()), Seconds(all.seconds[i]), "fault"});
    kept.seconds.push_back(all.seconds[i]);
    kept.celsius.push_back(all.celsius[i]);
  }
  if (!kept.empty() && !keep.back()) {
    std::erase_if(kept.gaps, [&](const Gap& g) { return g.from.value >= kept.seconds.back(); });
    kept.gaps.push_back({Seconds(kept.seconds.back()), Seconds(log.seconds.back()), "fault"});
  }
  std::sort(kept.gaps.begin(), kept.gaps.end(), [](const Gap& a, const Gap& b) { return a.from < b.from; });
  return kept;
}

struct Place {
  std::size_t channel;
  Trace trace;
};

/// The level that the paste melts at, as its card or else the criteria say.
std::optional<Celsius> melting_level(const std::vector<Criterion>& criteria, const JudgeOptions& options) {
  if (options.liquidus) return options.liquidus;
  const auto above = std::find_if(criteria.begin(), criteria.end(),
                                  [](const Criterion& c) { return c.kind == FigureKind::above && c.low; });
  return above == criteria.end() ? std::nullopt : std::optional(above->level);
}

std::optional<Spread> spread_of(std::vector<Place> places, const std::vector<Criterion>& criteria, const Log& log,
                                const JudgeOptions& options) {
  // A place that was lost before its peak says nothing of how far apart they are.
  std::erase_if(places, [](const Place& p) { return peak_unseen(p.trace); });
  if (places.size() < 2) return std::nullopt;
  const std::optional<Celsius> liquidus = melting_level(criteria, options);
  std::optional<Celsius> soak_end;
  for (const Criterion& c : criteria) {
    if (c.kind == FigureKind::soak && !soak_end) soak_end = c.level2;
  }
  Spread spread;
  double hottest = -1e9, coldest = 1e9;
  for (const Place& p : places) {
    const double top = peak(p.trace).temperature.value;
    if (top > hottest) hottest = top, spread.hottest = log.channels[p.channel].name;
    if (top < coldest) coldest = top, spread.coldest = log.channels[p.channel].name;
  }
  spread.at_peak = Kelvin(hottest - coldest);
  const auto difference_when_first = [&](std::optional<Celsius> level) -> std::optional<Kelvin> {
    std::optional<double> when;
    for (const Place& p : places) {
      const auto reach = level ? first_reach(p.trace, *level) : std::nullopt;
      if (reach && (!when || reach->value < *when)) when = reach->value;
    }
    if (!when) return std::nullopt;
    double low = 1e9, high = -1e9;
    for (const Place& p : places) {
      const double t = at(p.trace, Seconds(*when)).value;
      low = std::min(low, t), high = std::max(high, t);
    }
    return Kelvin(high - low);
  };
  spread.at_soak_end = difference_when_first(soak_end);
  spread.at_liquidus = difference_when_first(liquidus);
  if (!liquidus) return spread;
  double first = std::numeric_limits<double>::infinity(), last = 0;
  for (const Place& p : places) {
    const auto reach = first_reach(p.trace, *liquidus);
    first = std::min(first, reach ? reach->value : first);
    last = std::max(last, reach ? reach->value : std::numeric_limits<double>::infinity());
  }
  spread.melting = Seconds(std::isinf(last) ? last : last - first);
  return spread;
}

/// The coldest reading between two passes over `level`: the board has cooled by 50 K in between [practice].
std::optional<Seconds> between_passes(const Trace& t, Celsius level) {
  const auto all = crossings(t, level);
  for (std::size_t i = 0; i + 1 < all.size(); ++i) {
    if (all[i].up) continue;
    const Trace valley = cut(t, all[i].time, all[i + 1].time);
    if (valley.empty()) continue;
    const auto coldest = std::min_element(valley.celsius.begin(), valley.celsius.end());
    if (*coldest > level.value - 50) continue;
    return Seconds(valley.seconds[static_cast<std::size_t>(coldest - valley.celsius.begin())]);
  }
  return std::nullopt;
}

/// Figures of two passes added up judge neither.
void judge_one_pass(Verdict& verdict, const std::vector<Place>& places, const std::vector<Criterion>& criteria,
                    const Log& log, const JudgeOptions& options) {
  const auto level = melting_level(criteria, options);
  for (const Place& p : places) {
    const auto when = level ? between_passes(p.trace, *level) : std::nullopt;
    if (!when) continue;
    const std::string text = fmt::format(
        "'{}' goes over {} degC, cools to {} degC at {} s and goes over it again: the log holds two passes",
        log.channels[p.channel].name, number(level->value, 1), number(at(p.trace, *when).value, 1),
        number(when->value, 1));
    verdict.faults.push_back({FaultKind::two_passes, p.channel, *when, *when, false, text});
    verdict.missing.insert(verdict.missing.begin(),
                           fmt::format("a log for each pass: cut this one at {} s", number(when->value, 0)));
    verdict.answer = Answer::undecided;
    return;
  }
}

/// What reads low before the heat reads low at the peak, too: a pass of it is none.
void judge_zero(Verdict& verdict, const Log& log, const JudgeOptions& options) {
  if (!options.room) return;
  const auto cold = cold_starts(log, *options.room);
  if (cold.empty()) return;
  verdict.faults.insert(verdict.faults.end(), cold.begin(), cold.end());
  if (verdict.answer == Answer::fail || verdict.answer == Answer::undecided) return;
  verdict.answer = Answer::undecided;
  verdict.missing.insert(verdict.missing.begin(), fmt::format("'{}' held against another thermometer or ice water, and a log after that; or the true temperature of the room", log.channels[cold.front().channel].name));
}

const Fault* range_end(const Verdict& verdict, std::optional<std::size_t> channel = {}) {
  const auto found = std::find_if(verdict.faults.begin(), verdict.faults.end(), [&](const Fault& f) { return f.kind == FaultKind::range_ends && (!channel || f.channel == *channel); });
  return found == verdict.faults.end() ? nullptr : &*found;
}

/// A peak above the range of the logger is not in the log: a pass of what is in it is none.
void judge_range(Verdict& verdict) {
  if (range_end(verdict) == nullptr || verdict.answer == Answer::fail || verdict.answer == Answer::undecided) return;
  verdict.answer = Answer::undecided;
  verdict.missing.insert(verdict.missing.begin(), "a log by a logger and a range that read above the peak");
}

/// Held against neither a peak nor a time above liquidus a curve is no pass, whatever else of it is in order.
void judge_window(Verdict& verdict, const std::vector<Criterion>& criteria, const JudgeOptions& options) {
  if (!options.liquidus) {
    if (criteria.empty()) verdict.missing.push_back("a window to hold the curve against: name the paste");
    return;
  }
  const bool said = std::any_of(criteria.begin(), criteria.end(), [&](const Criterion& c) {
    return c.low && (c.kind == FigureKind::above || (c.kind == FigureKind::peak && *c.low > options.liquidus->value));
  });
  if (said) return;
  verdict.missing.insert(verdict.missing.begin(), "the card of the paste gives neither peak nor time above liquidus: write those of its sheet into a card of your own");
  if (verdict.answer != Answer::fail) verdict.answer = Answer::undecided;
}

/// A warm start turns no verdict; what does not count for the steepest rise is told.
void tell_warm(Verdict& verdict, const Log& log, const JudgeOptions& options) {
  if (!options.room) return;
  const auto warm = warm_rests(log, *options.room);
  verdict.faults.insert(verdict.faults.end(), warm.begin(), warm.end());
}

std::vector<Place> places_of(const Log& log, ChannelRole role, Verdict& verdict) {
  std::vector<Place> places;
  for (std::size_t k = 0; k < log.channels.size(); ++k) {
    if (log.channels[k].role != role) continue;
    Trace trace = trusted(log, k, verdict.faults);
    if (trace.size() < 10 || trace.size() * 4 < log.seconds.size()) {
      verdict.notes.push_back(fmt::format(
          "'{}' does not count: less than a quarter of its readings can be trusted", log.channels[k].name));
      continue;
    }
    places.push_back({k, std::move(trace)});
  }
  return places;
}

void judge_passes(Verdict& verdict, const std::vector<PartLimit>& parts, int passes) {
  for (const PartLimit& part : parts) {
    if (!part.passes || passes <= *part.passes) continue;
    verdict.answer = Answer::fail;
    verdict.notes.push_back(fmt::format("part {} bears {} over liquidus, this one is number {} ({})",
                                        part.part, counted(*part.passes, "heating", "heatings"), passes,
                                        describe(part.source)));
  }
}

void pick_worst(Verdict& verdict) {
  for (std::size_t i = 0; i < verdict.figures.size(); ++i) {
    const Judged& j = verdict.figures[i];
    if (!verdict.deciding || worse(j, verdict.figures[*verdict.deciding])) verdict.deciding = i;
    if (j.share &&
        (!verdict.worst_share || std::abs(j.share->value) > std::abs(verdict.worst_share->value))) {
      verdict.worst_share = j.share;
      verdict.worst = i;
    }
  }
}

void note_conditions(Verdict& verdict, const Log& log, const std::vector<Criterion>& criteria,
                     const JudgeOptions& options) {
  const auto slope = std::find_if(criteria.begin(), criteria.end(), [](const Criterion& c) {
    return c.kind == FigureKind::rise || c.kind == FigureKind::fall;
  });
  if (slope != criteria.end()) {
    verdict.notes.push_back(
        fmt::format("slopes are least-squares lines over {} s; no standard fixes the window",
                    number(slope->window.value, 1)));
  }
  if (!options.sensor_error)
    verdict.notes.push_back("the error of the sensors is not stated: readings are taken as exact");
  for (const Assumption& a : log.assumptions) verdict.notes.push_back(a.what + ": " + a.why);
}

}  // namespace

Verdict judge(const Log& log, const std::vector<Criterion>& criteria, const std::vector<PartLimit>& parts,
              const JudgeOptions& options) {
  Verdict verdict;
  verdict.faults = find_faults(log);
  std::vector<Place> places = places_of(log, ChannelRole::board, verdict);
  const std::size_t boards = places.size();
  // Without a board channel, what nobody has placed is measured and shown, but decides nothing.
  if (boards == 0) places = places_of(log, ChannelRole::unknown, verdict);
  for (const Criterion& c : criteria) {
    for (const Place& p : places) verdict.figures.push_back(judge_one(c, p.channel, p.trace, log, options));
  }
  pick_worst(verdict);
  if (verdict.deciding) verdict.measured = verdict.figures[*verdict.deciding].answer;
  verdict.answer = verdict.measured;
  for (const Judged& j : verdict.figures) {
    if (j.answer == Answer::undecided) verdict.missing.push_back(j.why);
  }
  const auto wanted = static_cast<std::size_t>(std::max(1, options.board_channels_wanted));
  if (boards == 0) {
    verdict.answer = Answer::undecided;
    verdict.missing.insert(
        verdict.missing.begin(),
        "no channel is known to sit on the board: say which one does, or log one (air and control do not "
        "judge a board)");
  } else if (verdict.answer == Answer::pass && boards < wanted) {
    verdict.answer = Answer::indicative;
    verdict.missing.push_back(
        fmt::format("{} more on the board, at its hottest and its coldest place",
                    counted(static_cast<long>(wanted - boards), "channel", "channels")));
  }
  judge_zero(verdict, log, options);
  judge_range(verdict);
  tell_warm(verdict, log, options);
  judge_window(verdict, criteria, options);
  judge_one_pass(verdict, places, criteria, log, options);
  judge_passes(verdict, parts, options.passes);
  std::erase_if(places, [&](const Place& p) { return range_end(verdict, p.channel) != nullptr; });
  if (boards > 0) verdict.spread = spread_of(places, criteria, log, options);
  note_conditions(verdict, log, criteria, options);
  return verdict;
}

std::string in_words(const Verdict& verdict, const Log& log) {
  std::string text = fmt::format("{}: {}\n", log.file, word(verdict.answer));
  if (verdict.answer == Answer::indicative)
    text += fmt::format("  by itself the curve would {}\n", word(verdict.measured));
  if (verdict.answer == Answer::doubtful)
    text += "  that spoils no board for certain: peak, time above liquidus and what the parts bear are in order\n";
  for (std::size_t i = 0; i < verdict.figures.size(); ++i) {
    const Judged& j = verdict.figures[i];
    text += fmt::format("  {}{:<9} {}", verdict.deciding == i ? "> " : "  ", word(j.answer), j.why);
    if (j.share) text += fmt::format(" [{} % of the window]", number(j.share->value, 0));
    text += '\n';
  }
  if (verdict.spread) {
    const Spread& s = *verdict.spread;
    text += "  across the board: ";
    if (s.at_soak_end) text += fmt::format("{} K at the end of the soak, ", number(s.at_soak_end->value, 1));
    if (s.at_liquidus) text += fmt::format("{} K at liquidus, ", number(s.at_liquidus->value, 1));
    text += fmt::format("{} K at peak ({} coldest, {} hottest)", number(s.at_peak.value, 1), s.coldest, s.hottest);
    if (s.melting) text += std::isinf(s.melting->value) ? "; one place never melts" : fmt::format("; all melted {} s after the first", number(s.melting->value, 1));
    text += '\n';
  }
  for (const Fault& f : verdict.faults) text += fmt::format("  fault: {}\n", f.text);
  for (const std::string& m : verdict.missing) text += fmt::format("  missing: {}\n", m);
  for (const std::string& n : verdict.notes) text += fmt::format("  note: {}\n", n);
  return text;
}

}  // namespace handlot::reflow
