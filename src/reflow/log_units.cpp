// Units that a log does not say: taken from the readings where only one fits, asked for otherwise.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/text.h"
#include "reflow/log_rows.h"

namespace handlot::reflow::text {

namespace {

constexpr double kShortestPass = 90;   // s [practice]: no reflow pass is shorter,
constexpr double kLongestPass = 2700;  // nor longer; less than 60 apart, so that only one unit fits
constexpr double kColdest = -60;       // degC: below and above, no thermocouple in an oven says so
constexpr double kHottest = 500;

const char* name_of(TimeUnit unit) {
  switch (unit) {
    case TimeUnit::milliseconds:
      return "milliseconds";
    case TimeUnit::seconds:
      return "seconds";
    case TimeUnit::minutes:
      return "minutes";
    case TimeUnit::hours:
      return "hours";
    case TimeUnit::days:
      return "days";
  }
  return "";
}

double celsius(double value, TemperatureUnit unit) {
  switch (unit) {
    case TemperatureUnit::celsius:
      return value;
    case TemperatureUnit::fahrenheit:
      return (value - 32) / 1.8;
    case TemperatureUnit::kelvin:
      return value - 273.15;
  }
  return value;
}

const char* name_of(TemperatureUnit unit) {
  switch (unit) {
    case TemperatureUnit::celsius:
      return "degrees Celsius";
    case TemperatureUnit::fahrenheit:
      return "degrees Fahrenheit";
    case TemperatureUnit::kelvin:
      return "kelvin";
  }
  return "";
}

void scale(std::vector<double>& values, double factor) {
  if (factor == 1) return;
  for (double& v : values) v *= factor;
}

/// The only unit in which the log lasts as long as a pass does; days only where the numbers are those that a table gives to
/// the dates of these years.
std::optional<TimeUnit> fitting_time_unit(double first, double length) {
  constexpr double kYear2000 = 36526, kYear2100 = 73051;  // days since 1899-12-30, from which tables count [memory]
  if (first > kYear2000 && first < kYear2100 && length < 1 && length * 86400 >= kShortestPass && length * 86400 <= kLongestPass) return TimeUnit::days;
  std::optional<TimeUnit> found;
  for (const TimeUnit unit :
       {TimeUnit::milliseconds, TimeUnit::seconds, TimeUnit::minutes, TimeUnit::hours}) {
    const double seconds = length * seconds_per(unit);
    if (seconds < kShortestPass || seconds > kLongestPass) continue;
    if (found) return std::nullopt;
    found = unit;
  }
  return found;
}

struct Ends {
  double start = 0;  ///< middle of the first readings
  double peak = 0;
};

std::optional<Ends> ends_of(const std::vector<double>& column) {
  std::vector<double> first;
  double top = -1e300;
  for (const double v : column) {
    if (!(std::abs(v) < 900)) continue;  // also NaN: sentinels such as 9999 do not tell the unit
    if (first.size() < 5) first.push_back(v);
    top = std::max(top, v);
  }
  if (first.empty()) return std::nullopt;
  // A slow log climbs in its first rows: the first is the start. Else the middle one, against a bad reading.
  const bool climbs = std::is_sorted(first.begin(), first.end());
  std::sort(first.begin(), first.end());
  return Ends{climbs ? first.front() : first[first.size() / 2], top};
}

/// Those of the hottest column.
std::optional<Ends> ends_of(const Rows& rows) {
  std::optional<Ends> ends;
  for (const auto& column : rows.readings) {
    const auto own = ends_of(column);
    if (own && (!ends || own->peak > ends->peak)) ends = own;
  }
  return ends;
}

/// The only unit in which start and peak are those of a reflow pass.
std::optional<TemperatureUnit> fitting_temperature_unit(Ends ends) {
  if (ends.start >= -5 && ends.start <= 45 && ends.peak >= 100 && ends.peak <= 320)
    return TemperatureUnit::celsius;
  if (ends.start > 45 && ends.start <= 115 && ends.peak > 400 && ends.peak <= 608)
    return TemperatureUnit::fahrenheit;
  if (ends.start >= 268 && ends.start <= 320 && ends.peak >= 420 && ends.peak <= 600)
    return TemperatureUnit::kelvin;
  return std::nullopt;
}

/// The unit that the readings of a column are in for all it says: as said no paste would melt in it, or no board would bear it, and
/// in the other it is a pass from cold to peak.
std::optional<TemperatureUnit> belying_unit(const std::vector<double>& column, TemperatureUnit said) {
  constexpr double kCoolest = 130, kHottestPeak = 350;  // degC of a peak: no paste here melts below, no board is whole above [practice]
  const auto ends = ends_of(column);
  if (!ends) return std::nullopt;
  const double peak = celsius(ends->peak, said);
  const auto fits = fitting_temperature_unit(*ends);
  return (peak < kCoolest || peak > kHottestPeak) && fits && *fits != said ? fits : std::nullopt;
}

/// A column whose readings are a pass in the unit that is said: then a hotter one is the air or a heater, and no other unit.
bool any_holds(const Rows& rows, const Layout& layout, std::optional<TemperatureUnit> common) {
  for (std::size_t k = 0; k < rows.columns.size(); ++k) {
    const auto said = common ? common : temperature_unit(layout.columns[rows.columns[k]].heading.unit);
    const auto ends = ends_of(rows.readings[k]);
    if (said && ends && fitting_temperature_unit(*ends) == said) return true;
  }
  return false;
}

const char* letter_of(TemperatureUnit unit) { return unit == TemperatureUnit::celsius ? "C" : unit == TemperatureUnit::fahrenheit ? "F" : "K"; }

Diagnostic belied(const std::string& file, int line, const std::string& column, TemperatureUnit said, TemperatureUnit fits, Ends ends) {
  return error("log-temperature-unit", {file, line, 0},
               fmt::format("column '{}' says {}, and its readings (from {} to {}) are those of a pass in {}", column, name_of(said), number(ends.start, 1), number(ends.peak, 1), name_of(fits)),
               fmt::format("say which it is: --temperature {} or {} (--remember keeps it)", letter_of(fits), letter_of(said)));
}

/// The unit that those columns agree on that say one.
std::optional<TemperatureUnit> said_by_others(const Rows& rows, const Layout& layout) {
  std::optional<TemperatureUnit> agreed;
  for (const std::size_t column : rows.columns) {
    const auto unit = temperature_unit(layout.columns[column].heading.unit);
    if (!unit) continue;
    if (agreed && *agreed != *unit) return std::nullopt;
    agreed = unit;
  }
  return agreed;
}

}  // namespace

Diagnostics settle_time_unit(Rows& rows, const Layout& layout, std::string_view file,
                             const LoggerMemory& said, LoggerMemory& found,
                             std::vector<Assumption>& assumptions) {
  if (!layout.time || layout.period) return {};
  const Heading& head = layout.columns[*layout.time].heading;
  if (rows.clock && !rows.two_part_clock) return {};
  std::optional<TimeUnit> unit = said.time;
  if (!unit) unit = rows.time_suffix;
  if (!unit) unit = time_unit(head.unit);
  if (!unit) unit = time_unit(head.name);
  if (rows.two_part_clock) {
    // Minutes and seconds as read, or hours and minutes: sixty times as long.
    const double length = rows.time.back() - rows.time.front();
    const bool short_fits = length >= kShortestPass && length <= kLongestPass;
    const bool long_fits = length * 60 >= kShortestPass && length * 60 <= kLongestPass;
    if (!unit && short_fits == long_fits) {
      return {error(
          "log-time-unit", {std::string(file), rows.line.front(), 0},
          "the clock has two parts, and neither hours:minutes nor minutes:seconds gives the length of a pass",
          "say whether the parts are minutes and seconds (--time s) or hours and minutes (--time min)")};
    }
    const bool hours_minutes = unit ? *unit == TimeUnit::minutes || *unit == TimeUnit::hours : long_fits;
    if (hours_minutes) scale(rows.time, 60);
    if (!unit) {
      assumptions.push_back(
          {fmt::format("the clock is read as {}", hours_minutes ? "hours:minutes" : "minutes:seconds"),
           "only so does the log last as long as a pass"});
    }
    return {};
  }
  if (!unit) {
    const double length = rows.time.back() - rows.time.front();
    unit = fitting_time_unit(rows.time.front(), length);
    if (!unit) {
      return {error(
          "log-time-unit", {std::string(file), rows.line.front(), 0},
          fmt::format(
              "column '{}' does not say its unit, and a length of {} fits no pass or more than one unit",
              head.raw, number(length, 3)),
          "say the unit: --time s, min, ms, h or d")};
    }
    assumptions.push_back(
        {fmt::format("times are taken as {}", name_of(*unit)),
         fmt::format(
             "column '{}' does not say; only so does the log last as long as a pass ({})", head.raw,
             in_words(Duration(static_cast<std::int64_t>(std::lround(length * seconds_per(*unit))))))});
  }
  scale(rows.time, seconds_per(*unit));
  found.time = unit;
  return {};
}

Diagnostics settle_temperature_unit(Rows& rows, const Layout& layout, std::string_view file,
                                    const LoggerMemory& said, LoggerMemory& found, Diagnostics& warnings,
                                    std::vector<Assumption>& assumptions) {
  const auto ends = ends_of(rows);
  std::optional<TemperatureUnit> common = said.temperature;
  if (!common) common = rows.temperature_suffix;
  const std::optional<TemperatureUnit> elsewhere = common ? common : said_by_others(rows, layout);
  const bool settled = said.temperature || any_holds(rows, layout, common);
  bool assumed = false;
  for (std::size_t k = 0; k < rows.columns.size(); ++k) {
    const Heading& head = layout.columns[rows.columns[k]].heading;
    const std::optional<TemperatureUnit> headed = temperature_unit(head.unit);
    std::optional<TemperatureUnit> unit = common ? common : headed;
    if (unit && !settled) {
      if (const auto fits = belying_unit(rows.readings[k], *unit)) return {belied(std::string(file), rows.line.front(), head.raw, *unit, *fits, *ends_of(rows.readings[k]))};
    }
    if (said.temperature && headed && *headed != *said.temperature) {
      assumptions.push_back({fmt::format("column '{}' is taken as {}", head.raw, name_of(*unit)), fmt::format("it was said so, though the log says {}", name_of(*headed))});
    }
    if (!unit && elsewhere) {
      unit = elsewhere;
      assumptions.push_back(
          {fmt::format("column '{}' is taken as {}", head.raw, name_of(*unit)), "the other columns say so"});
    }
    if (!unit) {
      unit = ends ? fitting_temperature_unit(*ends) : std::nullopt;
      if (!unit) {
        const std::string seen =
            ends ? fmt::format("from {} to {}", number(ends->start, 1), number(ends->peak, 1))
                 : "no reading at all";
        return {error("log-temperature-unit", {std::string(file), rows.line.front(), 0},
                      fmt::format("column '{}' does not say its unit, and its readings ({}) do not settle it",
                                  head.raw, seen),
                      "say the unit: --temperature C, F or K")};
      }
      if (!assumed) {
        assumptions.push_back({fmt::format("temperatures are taken as {}", name_of(*unit)),
                               fmt::format("column '{}' does not say; the log goes from {} to {}", head.raw,
                                           number(ends->start, 1), number(ends->peak, 1))});
      }
      assumed = true;
    }
    found.temperature = unit;
    int outside = 0;
    int first_line = 0;
    for (std::size_t i = 0; i < rows.time.size(); ++i) {
      double& v = rows.readings[k][i];
      if (std::isnan(v)) continue;
      v = celsius(v, *unit);
      if (v >= kColdest && v <= kHottest) continue;
      v = std::numeric_limits<double>::quiet_NaN();
      if (outside++ == 0) first_line = rows.line[i];
    }
    if (outside == 0) continue;
    rows.tokens[k][1] += outside;
    warnings.push_back(
        warning("log-out-of-range", {std::string(file), first_line, 0},
                fmt::format("{} in column '{}' between {} and {} degC are taken as 'out of range'",
                            counted(outside, "reading not", "readings not"), head.raw, number(kColdest),
                            number(kHottest)),
                "check the junction and its plug"));
  }
  return {};
}

}  // namespace handlot::reflow::text
