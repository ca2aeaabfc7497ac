#include "joints/cure.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>

#include "core/text.h"

namespace handlot::joints {
namespace {

constexpr double kGasConstant = 8.31446e-3;  // kJ / (mol K)
constexpr double kWorstFit = 0.35;           // a series that misses by more is no Arrhenius line
constexpr Kelvin kPrinted{0.5};              // a printed whole degree
constexpr Kelvin kLaboratory{2};             // a single printed temperature stands for 2 K to either side (ISO 291, memory)
constexpr Kelvin kNoLawReach{5};             // [practice]
constexpr Kelvin kHeldReach{15};             // a time is kept as printed so much warmer [practice]
constexpr Celsius kBase{25};                 // where room-temperature times are given

Duration whole(double seconds) {
  const double step = seconds < 300 ? 1 : 60;
  return Duration(static_cast<std::int64_t>(std::ceil(seconds / step - 1e-9) * step));
}

double seconds_of(Duration d) { return static_cast<double>(d.seconds); }

std::string at_degrees(Celsius t) { return number(t.value, 1) + " degC"; }

double scaled(double seconds, Celsius from, Celsius to, KilojoulesPerMole ea) {
  return seconds * std::exp(ea.value / kGasConstant * (1 / to.kelvin() - 1 / from.kelvin()));
}

const CureSeries* series_for(const AdhesiveFigures& adhesive, CureState state) {
  const CureSeries* best = nullptr;
  for (const CureSeries& s : adhesive.cures)
    if (s.state >= state && !s.points.empty() && (!best || s.state < best->state)) best = &s;
  return best;
}

Diagnostic too_cold(const AdhesiveFigures& adhesive, Celsius room, Celsius least) {
  return error("cure-too-cold", {},
               fmt::format("{} has no published time at {}: the coldest that holds is {}", adhesive.name,
                           at_degrees(room), at_degrees(least)),
               fmt::format("warm the joint to {} or more, or state a measured time at {}", at_degrees(least),
                           at_degrees(room)));
}

Diagnostic too_hot(const AdhesiveFigures& adhesive, Celsius room, Celsius most) {
  return error("cure-too-hot", {},
               fmt::format("{} has no published time at {}: the hottest that holds is {}", adhesive.name,
                           at_degrees(room), at_degrees(most)),
               fmt::format("cure at {} or less, or state a measured time at {}", at_degrees(most), at_degrees(room)));
}

CureWait as_printed(const CureSeries& s, const CureAt& p) {
  return {p.time, s.state, false, fmt::format("{} at {} as printed", in_words(p.time), at_degrees(p.temperature)),
          s.source};
}

// Warmer than the last printed point: its time, as far as that may be warmed.
Result<CureWait> held(const AdhesiveFigures& adhesive, const CureSeries& s, const CureAt& p, Celsius room) {
  const Celsius most = adhesive.hottest.value_or(p.temperature + kHeldReach);
  if (room > most) return fail(too_hot(adhesive, room, most));
  CureWait wait = as_printed(s, p);
  wait.how += fmt::format(", kept at {}", at_degrees(room));
  return wait;
}

// On top of a law. Within the laboratory's spread nothing is scaled; from there the miss grows with the way to the colder side.
double margin(Celsius from, Celsius to) {
  const double share = std::clamp((from - to - kLaboratory) / (kNoLawReach - kLaboratory), 0.0, 1.0);
  return to < from ? std::pow(kScalingMargin, share) : kScalingMargin;
}

// Warmer than `p` inside what is allowed: never more than `p` itself.
CureWait brought(const CureSeries& s, const CureAt& p, Celsius room, double seconds, const std::string& by) {
  const double on_top = margin(p.temperature, room), with_margin = seconds * on_top;
  if (room > p.temperature && with_margin >= seconds_of(p.time)) {
    CureWait kept = as_printed(s, p);
    kept.how += fmt::format(", kept at {}", at_degrees(room));
    return kept;
  }
  return {whole(with_margin), s.state, true,
          fmt::format("{} at {}, brought to {} by {}, {} % on top", in_words(p.time), at_degrees(p.temperature),
                      at_degrees(room), by, number((on_top - 1) * 100, 0)),
          s.source};
}

CureWait between(const CureSeries& s, const CureAt& cold, const CureAt& warm, Celsius room) {
  const CureAt pair[] = {cold, warm};
  return brought(s, cold, room, fit_arrhenius(pair).at(room).value, "the product's own table");
}

// Back-test: from its point nearest 25 degC, does the law with its margin cover this row of the table?
bool covers(const ChemistryLaw& law, const PublishedCure& table, const CureAt& row) {
  const CureAt& base = *std::min_element(table.points.begin(), table.points.end(), [](const auto& a, const auto& b) {
    return std::abs((a.temperature - kBase).value) < std::abs((b.temperature - kBase).value);
  });
  const auto ea = row.temperature < base.temperature ? law.highest : law.lowest;
  return scaled(seconds_of(base.time), base.temperature, row.temperature, ea) * margin(base.temperature, row.temperature) >=
         seconds_of(row.time);
}

// The farthest printed temperature to which every row of every table of the chemistry is covered.
Celsius reach(const ChemistryLaw& law, const std::vector<const PublishedCure*>& tables, bool colder) {
  const double way = colder ? -1 : 1;
  double good = 0, bad = 1e9;  // distances from kBase
  for (const PublishedCure* table : tables)
    for (const CureAt& row : table->points) {
      const double distance = way * (row.temperature - kBase).value;
      if (distance > 0 && !covers(law, *table, row)) bad = std::min(bad, distance);
    }
  for (const PublishedCure* table : tables)
    for (const CureAt& row : table->points) {
      const double distance = way * (row.temperature - kBase).value;
      if (distance < bad) good = std::max(good, distance);
    }
  return kBase + Kelvin(way * good);
}

// The coldest room that `wait_in` answers.
Celsius coldest_of(const AdhesiveFigures& adhesive, const CureSeries& s) {
  const CureAt& first = s.points.front();
  if (s.points.size() > 1) return first.temperature - kLaboratory;
  const auto law = law_of(adhesive.chemistry);
  if (!law) return first.temperature - kNoLawReach;
  const bool inside = first.temperature >= law->from && first.temperature <= law->to;
  return inside ? std::min(law->from, first.temperature - kLaboratory) : first.temperature - kLaboratory;
}

// One printed point: the chemistry's law, cautious end.
Result<CureWait> by_chemistry(const AdhesiveFigures& adhesive, const CureSeries& s, const CureAt& p, Celsius room) {
  const auto law = law_of(adhesive.chemistry);
  const bool colder = room < p.temperature;
  if (law && room >= law->from && room <= law->to && p.temperature >= law->from && p.temperature <= law->to) {
    const auto ea = colder ? law->highest : law->lowest;
    return brought(s, p, room, scaled(seconds_of(p.time), p.temperature, room, ea),
                   fmt::format("the law of {}", word(adhesive.chemistry)));
  }
  if (!colder) return held(adhesive, s, p, room);
  if (law) return fail(too_cold(adhesive, room, std::min(law->from, p.temperature)));
  if (p.temperature - room > kNoLawReach) return fail(too_cold(adhesive, room, p.temperature - kNoLawReach));
  CureWait slow = as_printed(s, p);
  slow.wait = whole(seconds_of(p.time) * kScalingMargin);
  slow.scaled = true;
  slow.how += fmt::format(", {} % on top for {}", number((kScalingMargin - 1) * 100, 0), at_degrees(room));
  return slow;
}

Result<CureWait> wait_in(const AdhesiveFigures& adhesive, const CureSeries& s, Celsius room) {
  for (const CureAt& p : s.points)
    if (std::abs((room - p.temperature).value) <= kPrinted.value) return as_printed(s, p);
  if (s.points.size() == 1) {
    const CureAt& only = s.points.front();
    if (std::abs((room - only.temperature).value) <= kLaboratory.value) return as_printed(s, only);
    return by_chemistry(adhesive, s, only, room);
  }
  // With a table of its own a product is never taken beyond it, save for the laboratory's own spread.
  if (room < s.points.front().temperature && s.points.front().temperature - room <= kLaboratory) return as_printed(s, s.points.front());
  if (room < s.points.front().temperature) return fail(too_cold(adhesive, room, s.points.front().temperature));
  for (std::size_t i = 1; i < s.points.size(); ++i)
    if (room < s.points[i].temperature) return between(s, s.points[i - 1], s.points[i], room);
  return held(adhesive, s, s.points.back(), room);
}

}  // namespace

Seconds Arrhenius::at(Celsius temperature) const {
  return Seconds(std::exp(ln_seconds_at_infinity + activation.value / (kGasConstant * temperature.kelvin())));
}

Arrhenius fit_arrhenius(std::span<const CureAt> points) {
  assert(points.size() >= 2);
  double sx = 0, sy = 0, sxx = 0, sxy = 0;
  for (const CureAt& p : points) {
    const double x = 1 / (kGasConstant * p.temperature.kelvin());
    const double y = std::log(seconds_of(p.time));
    sx += x, sy += y, sxx += x * x, sxy += x * y;
  }
  const double n = static_cast<double>(points.size());
  const double slope = (n * sxy - sx * sy) / (n * sxx - sx * sx);
  Arrhenius fit{KilojoulesPerMole(slope), (sy - slope * sx) / n};
  for (const CureAt& p : points) {
    const double off = fit.at(p.temperature).value / seconds_of(p.time) - 1;
    fit.worst_short = std::min(fit.worst_short, off);
    fit.worst_long = std::max(fit.worst_long, off);
  }
  return fit;
}

double local_q10(const CureAt& cold, const CureAt& warm) {
  const double kelvin = (warm.temperature - cold.temperature).value;
  assert(kelvin > 0);
  return std::pow(seconds_of(cold.time) / seconds_of(warm.time), 10 / kelvin);
}

std::optional<ChemistryLaw> law_of(Chemistry chemistry) {
  ChemistryLaw law{chemistry, KilojoulesPerMole(1e9), KilojoulesPerMole(0), kBase, kBase, {}};
  std::vector<const PublishedCure*> tables;
  for (const PublishedCure& table : published_cures()) {
    if (table.chemistry != chemistry) continue;
    tables.push_back(&table);
    law.products.push_back(table.product + ", " + table.criterion);
    const Arrhenius fit = fit_arrhenius(table.points);
    if (fit.worst_long > kWorstFit || -fit.worst_short > kWorstFit) continue;
    law.lowest = std::min(law.lowest, fit.activation);
    law.highest = std::max(law.highest, fit.activation);
  }
  if (law.highest.value <= 0) return std::nullopt;
  law.from = reach(law, tables, true);
  law.to = reach(law, tables, false);
  return law;
}

Result<CureWait> cure_wait(const AdhesiveFigures& adhesive, CureState state, Celsius room) {
  const CureSeries* s = series_for(adhesive, state);
  if (!s) {
    return fail(error("cure-unknown", {},
                      fmt::format("the card of {} gives no time to {} strength", adhesive.name, word(state)),
                      "add the time to the card, with the temperature it holds at"));
  }
  if (adhesive.coldest && room < *adhesive.coldest) return fail(too_cold(adhesive, room, *adhesive.coldest));
  if (adhesive.hottest && room > *adhesive.hottest) return fail(too_hot(adhesive, room, *adhesive.hottest));
  auto wait = wait_in(adhesive, *s, room);
  if (!wait) return wait;
  // Two series of one product may cross once a margin stands on one of them: a later state is never shorter.
  for (const CureSeries& earlier : adhesive.cures) {
    if (earlier.state >= s->state || earlier.points.empty()) continue;
    const auto sooner = wait_in(adhesive, earlier, room);
    if (sooner && sooner->wait > wait->wait) wait->wait = sooner->wait;
  }
  return wait;
}

Result<CureWait> coldest_wait(const AdhesiveFigures& adhesive, CureState state) {
  const CureSeries* s = series_for(adhesive, state);
  const Celsius least = s ? coldest_of(adhesive, *s) : kBase;
  return cure_wait(adhesive, state, std::max(least, adhesive.coldest.value_or(least)));
}

Result<DepthCure> depth_cure(const AdhesiveFigures& adhesive, Millimetres depth) {
  if (!adhesive.section_per_day) {
    return fail(error("cure-unknown", {}, fmt::format("the card of {} gives no depth a day", adhesive.name),
                      "add the figure 'depth-per-day' to its card"));
  }
  const Millimetres most = adhesive.section_max.value_or(Millimetres(6));
  if (depth > most) {
    return fail(error("silicone-too-deep", {},
                      fmt::format("{} cures {} mm deep at most, and the section is {} mm", adhesive.name,
                                  number(most.value, 2), number(depth.value, 2)),
                      "apply it in layers, each cured, or take a two-part grade"));
  }
  const double ratio = std::max(1.0, depth / *adhesive.section_per_day);
  return DepthCure{whole(86400 * ratio * ratio), whole(86400 * ratio)};
}

}  // namespace handlot::joints
