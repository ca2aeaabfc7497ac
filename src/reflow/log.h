// log.h: a temperature log as text, in whatever dialect the logger speaks, read into channels.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "reflow/trace.h"

namespace handlot::reflow {

/// What a channel measures. Only `board` channels decide a verdict.
enum class ChannelRole {
  unknown,    ///< a temperature, but nothing says of what
  board,      ///< on the board: `where` and `attached` say how
  air,        ///< the air of the oven
  control,    ///< the sensor that the oven regulates by
  set_curve,  ///< what the controller wants
  other       ///< not a temperature that matters here (power, state, cold junction, ...)
};
enum class TimeUnit { milliseconds, seconds, minutes, hours, days };
enum class TemperatureUnit { celsius, fahrenheit, kelvin };
std::string_view word(ChannelRole role);
std::optional<ChannelRole> role_named(std::string_view word);

struct ChannelSays {
  std::string column;  ///< as the log names it
  ChannelRole role = ChannelRole::unknown;
  std::string where;     ///< "centre", "corner by the door", "U3"
  std::string attached;  ///< "high-temperature solder", "aluminium tape", ...

  auto operator<=>(const ChannelSays&) const = default;
};

/// What a person said about one logger's files, or what was found in one. The caller keeps it (by
/// `signature`) and hands it in again, so that nothing is asked twice.
struct LoggerMemory {
  std::string signature;  ///< the column names, joined
  std::optional<TimeUnit> time;
  std::optional<TemperatureUnit> temperature;
  std::optional<char> decimal_mark;  ///< '.' or ','
  std::optional<Seconds> period;     ///< between rows; counts for more than a time column
  std::vector<ChannelSays> channels;

  auto operator<=>(const LoggerMemory&) const = default;
};

/// The memory as a few plain lines ("signature = ...", "time = s", "channel = Temp0 | board | centre |
/// tape").
std::string to_text(const LoggerMemory& memory);
/// Errors   memory-bad-line, with its line.
Result<LoggerMemory> memory_from(std::string_view text, std::string_view file);

struct Channel {
  std::string name;
  ChannelRole role = ChannelRole::unknown;
  std::string where;
  std::string attached;
  std::vector<double> celsius;  ///< one per row; NaN where there is no reading
  int open = 0;                 ///< readings that said "open junction"
  int out_of_range = 0;
  int no_data = 0;
};

/// Something that the log did not say and that was taken from elsewhere. Printed with every verdict.
struct Assumption {
  std::string what;
  std::string why;
};

struct Log {
  std::string file;
  std::vector<double> seconds;  ///< strictly rising
  std::vector<int> lines;       ///< of the file, one a row; empty for a log that was not read from text
  std::vector<Channel> channels;
  std::vector<Gap> gaps;  ///< places where rows are missing
  std::vector<Assumption> assumptions;
  Diagnostics warnings;
  LoggerMemory memory;  ///< what was found, ready to be kept
  Seconds step;         ///< the usual time between rows
};

/// Reads a log.
///
/// Given    the bytes of the file: any of tab ; , | or blanks between columns, decimal point or comma (also
///          within quotes), byte-order mark or UTF-16, a few lines of talk before the table, a row of units,
///          a row of process words, clock, date and clock, seconds, minutes, milliseconds, hours or days (a table's
///          own numbers for date and clock), midnight, the newest row first,
///          Celsius, Fahrenheit or Kelvin, words and figures that stand for "open", "out of range", "no
///          data".
/// Returns  the log; what was not said but followed from the readings stands in `assumptions`, what was
///          mended (rows doubled, out of order, spoilt) in `warnings`.
/// Errors   log-empty, log-not-text, log-no-table, log-comma-clash, log-decimal-mixed,
///          log-unknown-token, log-time-unit, log-time-backward, log-temperature-unit,
///          log-no-temperature, log-no-time, log-unknown-column, log-spoilt-rows, log-short. Each with line
///          and mend. A unit that several readings would fit is asked for, never chosen; so is one that the log
///          says and its readings belie.
/// Cost     linear in the text.
Result<Log> read_log(std::string_view text, std::string_view file, const LoggerMemory& said = {});

/// The readings of one channel, without those that are missing; runs of missing readings become gaps, also where the
/// channel is silent up to the end of the log (`goes_on`).
Trace trace_of(const Log& log, const Channel& channel);

}  // namespace handlot::reflow
