// log_layout.h: how a log's table is laid out. Used by the log reader only.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "reflow/log_text.h"

namespace handlot::reflow::text {

struct Column {
  enum class Kind { time, date, temperature, other };
  Heading heading;
  Kind kind = Kind::other;
  ChannelRole role = ChannelRole::unknown;
  bool named = false;  ///< the role follows from the name
};

struct Layout {
  Dialect dialect;
  std::size_t first_row = 0;  ///< index into the lines
  std::size_t fields = 0;
  std::vector<Column> columns;
  std::optional<std::size_t> time;
  std::optional<std::size_t> date;
  bool has_header = false;
  std::optional<Seconds> period;  ///< between rows, where no column holds the time; `time` then counts rows, if set
  std::string signature;
};

/// Delimiter, decimal mark, headings and what every column is.
/// Errors   log-no-table, log-comma-clash, log-no-time, log-no-temperature, log-unknown-column.
Result<Layout> find_layout(const std::vector<std::string_view>& lines, std::string_view file,
                           const LoggerMemory& said, std::vector<Assumption>& assumptions);

}  // namespace handlot::reflow::text
