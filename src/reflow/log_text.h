// log_text.h: the letters of a log: bytes to lines to fields to numbers and clocks. Used by the log reader
// only.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "reflow/log.h"

namespace handlot::reflow::text {

/// The bytes as UTF-8 without byte-order mark. UTF-16 is known by its mark. Errors: log-empty, log-not-text.
Result<std::string> as_utf8(std::string_view bytes, std::string_view file);

/// Lines without their ends (\n, \r\n or \r). A quoted cell that holds an end of line is kept whole: its row stands at its
/// first line, and the others are empty.
std::vector<std::string_view> lines_of(std::string_view text);

struct Dialect {
  char delimiter = ',';  ///< ' ' = any run of blanks
  char decimal = '.';
  auto operator<=>(const Dialect&) const = default;
};

/// Splits a line into trimmed fields without their quotes. `fields` is reused between calls.
void split(std::string_view line, char delimiter, std::vector<std::string_view>& fields);

std::string_view trimmed(std::string_view text);

/// A finite number that fills the whole field.
bool figure(std::string_view field, char decimal, double& value);
/// The same, followed by a unit such as "degC"; `suffix` is what follows.
bool number_with_suffix(std::string_view field, char decimal, double& value, std::string_view& suffix);

/// A clock or a date with a clock, as far as a log needs them.
struct Clock {
  double seconds = 0;       ///< within the day; or as written for two parts, minutes first
  int parts = 3;            ///< 2: "mm:ss" or "hh:mm", which is not said
  std::optional<long> day;  ///< of an ISO date, counted from 1970-01-01
  std::string_view date;    ///< the date as written, empty if none
};
std::optional<Clock> clock(std::string_view field);
bool is_date(std::string_view field);
std::optional<long> iso_day(std::string_view date);

/// What a word in place of a reading means.
enum class Token { open, out_of_range, no_data };
std::optional<Token> token(std::string_view field);

std::optional<TimeUnit> time_unit(std::string_view word);
double seconds_per(TimeUnit unit);
std::optional<TemperatureUnit> temperature_unit(std::string_view word);

/// A column's heading taken apart: "Temp0 (degC)" -> name "Temp0", unit "degC".
struct Heading {
  std::string raw;
  std::string name;
  std::string unit;
};
Heading heading(std::string_view raw);

}  // namespace handlot::reflow::text
