#include "reflow/advice.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "core/text.h"
#include "reflow/search.h"

namespace handlot::reflow {

namespace {

constexpr double kCoolDown = 240;  // s simulated after the heat is off

/// How far a figure is from where it should be: 0 in the middle of its window, 100 on its edge. With one
/// bound: 0 at half of it (10 K under it for a peak).
double strain(const Criterion& c, double value) {
  if (c.low && c.high && *c.low < *c.high) return std::abs(window_share(value, *c.low, *c.high).value);
  if (c.kind == FigureKind::peak) {
    if (c.high) return std::max(0.0, 100 + 10 * (value - *c.high));
    return c.low ? std::max(0.0, 100 - 10 * (value - *c.low)) : 0.0;
  }
  if (c.high && *c.high > 0) return std::max(0.0, 200 * value / *c.high - 100);
  if (c.low && *c.low < 0) return std::max(0.0, 200 * value / *c.low - 100);
  if (c.low && *c.low > 0) return std::max(0.0, 100 * (2 - value / *c.low));
  return 0;
}

double outside_by(const Criterion& c, double value) {
  if (c.high && value > *c.high) return value - *c.high;
  if (c.low && value < *c.low) return *c.low - value;
  return 0;
}

/// The curve family: rise to the soak, through the soak, up to the top, hold, off.
/// Temperatures never fall: a controller cannot cool, and a person would not believe it.
/// x = soak start degC, seconds to it, then more degC in so many seconds, then more degC in so many seconds,
/// seconds held.
SetCurve curve_from(const std::vector<double>& x, const OvenLimits& limits, Celsius room) {
  const auto temperature = [&](double v) {
    const double s = limits.coarse_temperature.value > 0 ? limits.coarse_temperature.value : 1;
    return Celsius(std::min(std::round(v / s) * s, limits.highest.value));
  };
  const auto time = [&](double v) {
    const double s = limits.coarse_time.value > 0 ? limits.coarse_time.value : 1;
    return Seconds(std::round(v / s) * s);
  };
  SetCurve curve;
  curve.points = {{Seconds(0), room}};
  Seconds t = time(x[1]);
  if (limits.steps >= 3) {
    curve.points.push_back({t, temperature(x[0])});
    t += time(x[3]);
  }
  curve.points.push_back({t, temperature(x[0] + x[2])});
  t += time(x[5]);
  const Celsius top = temperature(x[0] + x[2] + x[4]);
  curve.points.push_back({t, top});
  if (limits.steps >= 4 && time(x[6]).value > 0) {
    t += time(x[6]);
    curve.points.push_back({t, top});
  }
  curve.end = t;
  return curve;
}

/// Corners not rounded, for the search.
OvenLimits unrounded(OvenLimits limits) {
  limits.coarse_temperature = Celsius(1e-6);
  limits.coarse_time = Seconds(1e-6);
  return limits;
}

/// What the newest run taught of one figure: how far the model was off, and how much of the window the
/// scatter of the readings takes before a figure is inside for certain.
struct Lesson {
  double offset = 0;
  Criterion aim;
};

Lesson lesson_of(const OvenModel& model, std::size_t board, const Criterion& c) {
  Lesson lesson{0, c};
  if (board >= model.last_seen.size()) return lesson;
  const auto seen = measure(model.last_seen[board], c);
  const auto made = figure_value(model.last_predicted[board], c);
  if (!seen || !made || !std::isfinite(seen->low) || !std::isfinite(seen->high)) return lesson;
  lesson.offset = seen->value - *made;
  const double below = seen->value - seen->low, above = seen->high - seen->value;
  if (c.low && c.high && *c.low + below >= *c.high - above) return lesson;
  if (c.low) lesson.aim.low = *c.low + below;
  if (c.high) lesson.aim.high = *c.high - above;
  return lesson;
}

double strain_of(const Trace& trace, const Lesson& lesson) {
  const Criterion& c = lesson.aim;
  const auto value = figure_value(trace, c);
  if (value) return strain(c, *value + lesson.offset);
  const double wanted = c.kind == FigureKind::soak ? c.level2.value : c.level.value;
  return 150 + 5 * std::max(0.0, wanted - peak(trace).temperature.value);
}

class Adviser {
 public:
  Adviser(const OvenModel& model, const std::vector<Criterion>& criteria, const OvenLimits& limits)
      : model_(model), criteria_(criteria), limits_(limits) {
    for (std::size_t k = 0; k < model.boards.size(); ++k) {
      for (const Criterion& c : criteria) lessons_.push_back(lesson_of(model, k, c));
    }
  }

  Prediction run(const SetCurve& curve, Seconds step) const {
    return predict(model_, curve, curve.end + Seconds(kCoolDown), step);
  }

  /// The worst strain, with a little of all others so that the search has a slope everywhere.
  double cost(const std::vector<double>& x) const {
    const SetCurve curve = curve_from(x, unrounded(limits_), model_.room);
    double over = std::max(0.0, curve.end.value - limits_.longest.value);
    const Prediction made = run(curve, Seconds(1));
    double sum = 0, worst = 0;
    for (std::size_t k = 0; k < made.boards.size(); ++k) {
      for (std::size_t i = 0; i < criteria_.size(); ++i) {
        const double s = strain_of(made.boards[k], lesson(k, i));
        worst = std::max(worst, s);
        sum += s;
      }
    }
    return worst + 0.02 * sum + 2 * over;
  }

  std::vector<ExpectedFigure> figures(const Prediction& made) const {
    std::vector<ExpectedFigure> all;
    for (std::size_t i = 0; i < criteria_.size(); ++i) {
      const Criterion& c = criteria_[i];
      for (std::size_t k = 0; k < made.boards.size(); ++k) {
        const double offset = lesson(k, i).offset;
        ExpectedFigure f;
        f.criterion = c;
        f.channel = model_.boards[k].channel;
        const auto value = figure_value(made.boards[k], c);
        f.value = value ? *value + offset : 0;
        f.low = f.high = f.value;
        for (const double sign : {-1.0, 1.0}) {
          const auto shifted = figure_value(made.boards[k], c, sign * made.uncertainty);
          if (!shifted) continue;
          f.low = std::min(f.low, *shifted + offset);
          f.high = std::max(f.high, *shifted + offset);
        }
        f.short_by = value ? outside_by(c, f.value) : c.low.value_or(1);
        all.push_back(std::move(f));
      }
    }
    return all;
  }

  double worst_strain(const Prediction& made) const {
    double worst = 0;
    for (std::size_t k = 0; k < made.boards.size(); ++k) {
      for (std::size_t i = 0; i < criteria_.size(); ++i)
        worst = std::max(worst, strain_of(made.boards[k], {lesson(k, i).offset, criteria_[i]}));
    }
    return worst;
  }

 private:
  const Lesson& lesson(std::size_t board, std::size_t criterion) const {
    return lessons_[board * criteria_.size() + criterion];
  }

  std::vector<Lesson> lessons_;  ///< by board, then criterion
  const OvenModel& model_;
  const std::vector<Criterion>& criteria_;
  OvenLimits limits_;
};

/// Levels that the criteria are about, to start the search from.
struct Aims {
  double soak_from = 150, soak_to = 200, peak = 243;
};

Aims aims_of(const std::vector<Criterion>& criteria) {
  Aims aims;
  for (const Criterion& c : criteria) {
    if (c.kind == FigureKind::soak) aims.soak_from = c.level.value, aims.soak_to = c.level2.value;
    if (c.kind == FigureKind::peak && c.low && c.high) aims.peak = (*c.low + *c.high) / 2;
  }
  return aims;
}

void settle_status(Advice& advice, bool settled) {
  const ExpectedFigure* worst = nullptr;
  bool inside = true, surely = true;
  for (const ExpectedFigure& f : advice.figures) {
    const Criterion& c = f.criterion;
    if (f.short_by > 0) inside = false;
    if ((c.low && f.low < *c.low) || (c.high && f.high > *c.high)) surely = false;
    if (f.short_by > 0 && (!worst || strain(c, f.value) > strain(worst->criterion, worst->value))) worst = &f;
  }
  if (inside) {
    advice.status = surely ? Advice::Status::try_this : Advice::Status::marginal;
    advice.why = surely ? "every predicted figure is inside its window, with the model's error"
                        : "every predicted figure is inside its window, but not by more than the model's "
                          "error: log the run and ask again";
    return;
  }
  advice.status = settled ? Advice::Status::cannot : Advice::Status::stopped;
  const std::string figure = fmt::format(
      "{}: {} comes to {} {}, outside by {} ({})", worst->channel, describe(worst->criterion),
      number(worst->value, 2), unit(worst->criterion.kind), number(worst->short_by, 2), worst->criterion.who);
  advice.why = settled
                   ? "no set curve within the oven's limits gets there; nearest is this one. " + figure
                   : fmt::format("the search stopped at its limit of {} runs. ", advice.evaluations) + figure;
}

}  // namespace

Advice advise(const OvenModel& model, const std::vector<Criterion>& criteria, const OvenLimits& limits,
              int evaluations) {
  const Adviser adviser(model, criteria, limits);
  const Aims aims = aims_of(criteria);
  const double shortest = limits.shortest_step.value;
  const double hottest = limits.highest.value;
  const auto capped = [&](double v) { return std::min(v, hottest); };
  const std::vector<double> low{60, shortest, 0, shortest, 0, shortest, 0};
  const std::vector<double> high{
      hottest,      limits.longest.value,     hottest - 60, limits.longest.value / 2,
      hottest - 60, limits.longest.value / 2, 150};
  const auto cost = [&](const std::vector<double>& x) { return adviser.cost(x); };
  Advice advice;
  SearchResult best;
  bool settled = true;
  // A gentle, a brisk and a forced start; the board lags the air, so the air must lead.
  const double soak = aims.soak_to - aims.soak_from, spike = aims.peak - aims.soak_to;
  const std::array<std::vector<double>, 4> starts{
      std::vector<double>{capped(aims.soak_from + 10), 100, soak - 5, 100, spike + 5, 60, 20},
      std::vector<double>{capped(aims.soak_from + 25), 60, soak - 20, 80, spike + 15, 30, 30},
      std::vector<double>{capped(aims.soak_from + 10), 250, soak, 100, spike + 15, 60, 30},
      std::vector<double>{capped(aims.soak_from + 40), 40, soak - 10, 60, 90, 10, 60}};
  for (const auto& start : starts) {
    std::vector<double> x = start;
    for (std::size_t i = 0; i < x.size(); ++i) x[i] = std::clamp(x[i], low[i], high[i]);
    SearchResult found = search(cost, x, low, high, evaluations / 4);
    advice.evaluations += found.evaluations;
    settled = settled && found.settled;
    if (best.at.empty() || found.value < best.value) best = std::move(found);
  }
  advice.set = curve_from(best.at, limits, model.room);
  advice.predicted = adviser.run(advice.set, Seconds(0.5));
  advice.figures = adviser.figures(advice.predicted);
  advice.worst_share = adviser.worst_strain(advice.predicted);
  settle_status(advice, settled);
  return advice;
}

std::string in_words(const Advice& advice) {
  static constexpr std::array<const char*, 4> kStatus{"try this", "try this (marginal)", "this oven cannot",
                                                      "stopped"};
  std::string text = fmt::format("{}: {}\n", kStatus[static_cast<std::size_t>(advice.status)], advice.why);
  for (std::size_t i = 1; i < advice.set.points.size(); ++i) {
    const SetPoint& p = advice.set.points[i];
    const SetPoint& before = advice.set.points[i - 1];
    const std::string within = number((p.time - before.time).value) + " s";
    text += p.temperature == before.temperature
                ? fmt::format("  {}. hold {} degC for {}\n", i, number(p.temperature.value), within)
                : fmt::format("  {}. to {} degC within {}\n", i, number(p.temperature.value), within);
  }
  text += fmt::format("  {}. heat off at {} s, open the door\n", advice.set.points.size(),
                      number(advice.set.end.value));
  for (const ExpectedFigure& f : advice.figures) {
    text += fmt::format("  expected, {}: {} {} {} ({} to {})\n", f.channel, describe(f.criterion),
                        number(f.value, 2), unit(f.criterion.kind), number(f.low, 2), number(f.high, 2));
  }
  text += fmt::format("  predicted board temperatures are good to +-{} K\n",
                      number(advice.predicted.uncertainty.value, 1));
  return text;
}

}  // namespace handlot::reflow
