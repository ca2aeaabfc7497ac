// Why a verdict is what it is, with the place in the log.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"
#include "reflow/verdict.h"

namespace handlot::reflow {

std::optional<Seconds> settled_at(const Trace& trace, const Criterion& c) {
  if (trace.size() < 2) return std::nullopt;
  switch (c.kind) {
    case FigureKind::peak:
    case FigureKind::near_peak:
    case FigureKind::time_to_peak:
    case FigureKind::fall_mean:
      return peak(trace).first;
    case FigureKind::rise:
    case FigureKind::fall: {
      const auto slopes = slopes_of(trace, c);
      if (!slopes) return std::nullopt;
      return c.kind == FigureKind::rise ? slopes->steepest_rise.from : slopes->steepest_fall.from;
    }
    default:
      return first_reach(trace, c.level);
  }
}

namespace {

std::string bound(const std::optional<double>& value) {
  return value ? number(*value, 2) : std::string("open");
}

std::string place_of(const Judged& j, const Log& log) {
  const auto when = settled_at(trace_of(log, log.channels[j.channel]), j.criterion);
  if (!when) return fmt::format("log: {}, channel '{}'", log.file, log.channels[j.channel].name);
  const auto row = static_cast<std::size_t>(
      std::lower_bound(log.seconds.begin(), log.seconds.end(), when->value - 1e-9) - log.seconds.begin());
  std::string text = fmt::format("log: {}, channel '{}', {} s", log.file, log.channels[j.channel].name,
                                 number(when->value, 1));
  if (row < log.lines.size()) text += fmt::format(", line {}", log.lines[row]);
  return text;
}

void tell(const Judged& j, const Log& log, std::vector<std::string>& lines) {
  const Criterion& c = j.criterion;
  lines.push_back(j.why);
  lines.push_back(fmt::format("window: {} to {} {} for {}, set by {}; source: {}", bound(c.low), bound(c.high),
                              unit(c.kind), describe(c), c.who, describe(c.source)));
  if (j.share) lines.push_back(fmt::format("share of the window used: {} %", number(j.share->value, 0)));
  lines.push_back(place_of(j, log));
}

}  // namespace

std::vector<std::string> because(const Verdict& verdict, const Log& log) {
  std::vector<std::string> lines{fmt::format("verdict: {}", word(verdict.answer))};
  if (verdict.deciding) {
    lines.emplace_back("decided by:");
    tell(verdict.figures[*verdict.deciding], log, lines);
    for (std::size_t i = 0; i < verdict.figures.size(); ++i) {
      const Judged& j = verdict.figures[i];
      if (i == *verdict.deciding || j.answer == Answer::pass) continue;
      lines.push_back(fmt::format("also {}:", word(j.answer)));
      tell(j, log, lines);
    }
  }
  if (verdict.spread) {
    const Spread& s = *verdict.spread;
    lines.push_back(fmt::format("across the board: {} K at peak, '{}' coldest, '{}' hottest",
                                number(s.at_peak.value, 1), s.coldest, s.hottest));
  }
  for (const Fault& f : verdict.faults) lines.push_back("fault: " + f.text);
  for (const std::string& m : verdict.missing) lines.push_back("missing: " + m);
  return lines;
}

}  // namespace handlot::reflow
