// log_rows.h: the rows of a log, and the units that were not said. Used by the log reader only.
#pragma once

#include <vector>

#include "reflow/log_layout.h"

namespace handlot::reflow::text {

/// Rows as read: one time per row, one column of readings per temperature, units as in the file.
struct Rows {
  std::vector<double> time;                   ///< in the file's unit; seconds for clocks
  std::vector<int> line;                      ///< of each row
  std::vector<std::vector<double>> readings;  ///< by temperature column; NaN = none
  std::vector<std::array<int, 3>> tokens;     ///< by temperature column: open, out of range, no data
  std::vector<std::size_t> columns;           ///< which column of the layout each is
  std::optional<TimeUnit> time_suffix;
  std::optional<TemperatureUnit> temperature_suffix;
  bool clock = false;
  bool two_part_clock = false;
};

/// Errors: log-unknown-token, log-decimal-mixed, log-spoilt-rows, log-short.
Result<Rows> read_rows(const std::vector<std::string_view>& lines, const Layout& layout,
                       std::string_view file, Diagnostics& warnings, std::vector<Assumption>& assumptions);

/// Times into seconds. Errors: log-time-unit.
Diagnostics settle_time_unit(Rows& rows, const Layout& layout, std::string_view file,
                             const LoggerMemory& said, LoggerMemory& found,
                             std::vector<Assumption>& assumptions);

/// Makes times strictly rising: doubled rows, coarse clocks, rows out of order.
/// Errors: log-time-backward, log-comma-clash.
Diagnostics settle_times(Rows& rows, const Layout& layout, std::string_view file, Diagnostics& warnings,
                         std::vector<Assumption>& assumptions);

/// Readings into degrees Celsius; figures that no thermocouple in an oven gives are taken out and counted.
/// Errors: log-temperature-unit.
Diagnostics settle_temperature_unit(Rows& rows, const Layout& layout, std::string_view file,
                                    const LoggerMemory& said, LoggerMemory& found, Diagnostics& warnings,
                                    std::vector<Assumption>& assumptions);

}  // namespace handlot::reflow::text
