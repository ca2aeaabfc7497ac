#include "reflow/log_rows.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "core/text.h"

namespace handlot::reflow::text {

namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t kFaultsTold = 20;
constexpr double kSpoiltShare = 0.05;  // more spoilt rows than this and the log is refused
constexpr double kDay = 86400;

/// Reads row after row; keeps what must be known from one row to the next.
class RowReader {
 public:
  RowReader(const Layout& layout, std::string file) : layout_(layout), file_(std::move(file)) {
    for (std::size_t i = 0; i < layout.columns.size(); ++i) {
      if (layout.columns[i].kind == Column::Kind::temperature) rows.columns.push_back(i);
    }
    rows.readings.resize(rows.columns.size());
    rows.tokens.resize(rows.columns.size());
  }

  void reserve(std::size_t count) {
    rows.time.reserve(count), rows.line.reserve(count);
    for (auto& column : rows.readings) column.reserve(count);
  }

  void read(std::string_view line, int number) {
    split(line, layout_.dialect.delimiter, fields_);
    if (fields_.size() == layout_.fields + 1 && fields_.back().empty()) fields_.pop_back();
    double time = 0;
    if (fields_.size() != layout_.fields || !read_time(time)) {
      spoilt.push_back(number);
      return;
    }
    rows.time.push_back(time);
    rows.line.push_back(number);
    for (std::size_t k = 0; k < rows.columns.size(); ++k) rows.readings[k].push_back(read_reading(k, number));
  }

  Rows rows;
  Diagnostics faults;
  std::vector<int> spoilt;
  int unknown_tokens = 0;
  int midnights = 0;

 private:
  bool read_time(double& time) {
    if (!layout_.time) {
      time = layout_.period ? layout_.period->value * static_cast<double>(rows.time.size()) : 0;
      return true;
    }
    const std::string_view field = fields_[*layout_.time];
    if (!rows.clock && figure(field, layout_.dialect.decimal, time)) {
      if (layout_.period) time *= layout_.period->value;
      return true;
    }
    if (layout_.period) return false;
    std::string_view suffix;
    if (!rows.clock && number_with_suffix(field, layout_.dialect.decimal, time, suffix) &&
        time_unit(suffix)) {
      rows.time_suffix = time_unit(suffix);
      return true;
    }
    const auto read = clock(field);
    if (!read || (!rows.time.empty() && !rows.clock)) return false;
    rows.clock = true;
    rows.two_part_clock = read->parts == 2;
    time = on_one_axis(*read);
    return true;
  }

  /// Days: an ISO date counts them; any other date, or none, only tells that midnight has passed.
  double on_one_axis(const Clock& read) {
    std::optional<long> day = read.day;
    if (layout_.date) day = iso_day(fields_[*layout_.date]);
    if (day) {
      if (!first_day_) first_day_ = day;
      if (last_clock_ && *day != last_day_) ++midnights;
      last_day_ = *day;
      last_clock_ = read.seconds;
      return static_cast<double>(*day - *first_day_) * kDay + read.seconds;
    }
    const double whole = read.parts == 2 ? 3600 : kDay;  // a two-part clock wraps each hour, if at all
    if (last_clock_ && read.seconds < *last_clock_ - whole / 2) {
      wraps_ += whole;
      ++midnights;
    }
    last_clock_ = read.seconds;
    return wraps_ + read.seconds;
  }

  double read_reading(std::size_t k, int line) {
    const std::string_view field = fields_[rows.columns[k]];
    double value = 0;
    if (figure(field, layout_.dialect.decimal, value)) return value;
    std::string_view suffix;
    if (number_with_suffix(field, layout_.dialect.decimal, value, suffix)) {
      const auto unit = temperature_unit(suffix);
      if (unit && (!rows.temperature_suffix || *rows.temperature_suffix == *unit)) {
        rows.temperature_suffix = unit;
        return value;
      }
    }
    if (const auto word = token(field)) {
      ++rows.tokens[k][static_cast<std::size_t>(*word)];
      return kNone;
    }
    ++unknown_tokens;
    if (faults.size() < kFaultsTold) faults.push_back(unknown(field, rows.columns[k], line));
    return kNone;
  }

  Diagnostic unknown(std::string_view field, std::size_t column, int line) const {
    const char other = layout_.dialect.decimal == '.' ? ',' : '.';
    double value = 0;
    const std::string shown(field.substr(0, 40));
    const std::string& name = layout_.columns[column].heading.raw;
    if (figure(field, other, value)) {
      return error("log-decimal-mixed", {file_, line, 0},
                   fmt::format("'{}' in column '{}' has the decimal mark '{}', other rows have '{}'", shown,
                               name, other, layout_.dialect.decimal),
                   "export the log with one decimal mark");
    }
    return error(
        "log-unknown-token", {file_, line, 0},
        fmt::format("'{}' in column '{}' is neither a temperature nor a known word for a missing one", shown,
                    name),
        "write 'open', 'over' or 'nan' where there is no reading");
  }

  const Layout& layout_;
  std::string file_;
  std::vector<std::string_view> fields_;
  std::optional<long> first_day_;
  long last_day_ = 0;
  std::optional<double> last_clock_;
  double wraps_ = 0;
};

void tell_spoilt(const std::vector<int>& spoilt, const std::string& file, Diagnostics& warnings) {
  std::vector<std::string> lines;
  for (std::size_t i = 0; i < spoilt.size() && i < 5; ++i) lines.push_back(std::to_string(spoilt[i]));
  if (spoilt.size() > 5) lines.push_back(fmt::format("{} more", spoilt.size() - 5));
  warnings.push_back(
      warning("log-spoilt-row", {file, spoilt.front(), 0},
              fmt::format("{} not read as rows of the table and left out: line {}",
                          counted(static_cast<long>(spoilt.size()), "line is", "lines are"), listed(lines)),
              "look at these lines; if they are rows, mend them and run again"));
}

}  // namespace

Result<Rows> read_rows(const std::vector<std::string_view>& lines, const Layout& layout,
                       std::string_view file_name, Diagnostics& warnings, std::vector<Assumption>& assumptions) {
  const std::string file(file_name);
  RowReader reader(layout, file);
  reader.reserve(lines.size() - layout.first_row);
  for (std::size_t i = layout.first_row; i < lines.size(); ++i) {
    if (lines[i].empty() || lines[i].front() == '#') continue;
    if (lines[i].front() <= ' ' && trimmed(lines[i]).empty()) continue;
    reader.read(lines[i], static_cast<int>(i) + 1);
  }
  if (reader.unknown_tokens > static_cast<int>(kFaultsTold)) {
    reader.faults.back().notes.push_back(
        {{}, fmt::format("{} more of the kind", reader.unknown_tokens - static_cast<int>(kFaultsTold))});
  }
  if (!reader.faults.empty()) return fail(std::move(reader.faults));
  const std::size_t rows = reader.rows.time.size();
  const std::size_t spoilt = reader.spoilt.size();
  if (static_cast<double>(spoilt) > kSpoiltShare * static_cast<double>(rows + spoilt) && spoilt > 2) {
    return fail(error("log-spoilt-rows", {file, reader.spoilt.front(), 0},
                      fmt::format("{} of {} rows do not fit the table, the first at line {}", spoilt,
                                  rows + spoilt, reader.spoilt.front()),
                      "export the log again, or cut away what is not the table"));
  }
  if (rows < 10) {
    return fail(error("log-short", {file, static_cast<int>(layout.first_row) + 1, 0},
                      fmt::format("the log has {}; a curve needs at least 10",
                                  counted(static_cast<long>(rows), "row", "rows")),
                      "log the whole pass, a reading every second or two"));
  }
  if (spoilt > 0) tell_spoilt(reader.spoilt, file, warnings);
  if (reader.midnights > 0) {
    assumptions.push_back(
        {"the clock passes midnight", "it falls back by more than half its range, or the date changes"});
  }
  if (reader.rows.clock) {  // clocks count from their first row
    const double first = reader.rows.time.front();
    for (double& t : reader.rows.time) t -= first;
  }
  return std::move(reader.rows);
}

}  // namespace handlot::reflow::text
