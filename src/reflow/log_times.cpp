// Times that stand still or run backward.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"
#include "reflow/log_rows.h"

namespace handlot::reflow::text {

namespace {

void keep_rows(Rows& rows, const std::vector<char>& keep) {
  std::size_t to = 0;
  for (std::size_t i = 0; i < keep.size(); ++i) {
    if (!keep[i]) continue;
    rows.time[to] = rows.time[i];
    rows.line[to] = rows.line[i];
    for (auto& column : rows.readings) column[to] = column[i];
    ++to;
  }
  rows.time.resize(to);
  rows.line.resize(to);
  for (auto& column : rows.readings) column.resize(to);
}

bool newest_first(const Rows& rows) {
  return rows.time.size() > 1 && rows.time.back() < rows.time.front() && std::is_sorted(rows.time.rbegin(), rows.time.rend());
}

void turn_round(Rows& rows) {
  std::reverse(rows.time.begin(), rows.time.end());
  std::reverse(rows.line.begin(), rows.line.end());
  for (auto& column : rows.readings) std::reverse(column.begin(), column.end());
  if (!rows.clock) return;
  const double first = rows.time.front();
  for (double& t : rows.time) t -= first;
}

/// A clock that ticks slower than the rows come: each tick's rows are spread evenly up to the next tick.
void spread_ticks(Rows& rows) {
  std::vector<std::size_t> starts;
  for (std::size_t i = 0; i < rows.time.size(); ++i) {
    if (i == 0 || rows.time[i] != rows.time[i - 1]) starts.push_back(i);
  }
  starts.push_back(rows.time.size());
  std::vector<std::size_t> sizes;
  for (std::size_t r = 0; r + 1 < starts.size(); ++r) sizes.push_back(starts[r + 1] - starts[r]);
  std::vector<std::size_t> sorted = sizes;
  std::nth_element(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2),
                   sorted.end());
  const double usual = static_cast<double>(sorted[sorted.size() / 2]);
  std::vector<double> ticks;
  for (std::size_t r = 0; r < sizes.size(); ++r) ticks.push_back(rows.time[starts[r]]);
  for (std::size_t r = 0; r < sizes.size(); ++r) {
    const bool last = r + 1 == sizes.size();
    const double tick = last ? ticks[r] - ticks[r - 1] : ticks[r + 1] - ticks[r];
    const auto n = static_cast<double>(sizes[r]);
    const double parts = (r == 0 || last) ? std::max(usual, n) : n;
    // The first tick may have begun before the log: its rows end at the next tick.
    const double offset = r == 0 ? parts - n : 0;
    for (std::size_t k = 0; k < sizes[r]; ++k) {
      rows.time[starts[r] + k] = ticks[r] + tick * (offset + static_cast<double>(k)) / parts;
    }
  }
}

struct Doubled {
  int same = 0;
  int differing = 0;
  double worst = 0;
  int first_line = 0;
};

double difference(const Rows& rows, std::size_t i, std::size_t j) {
  double worst = 0;
  for (const auto& column : rows.readings) {
    if (std::isnan(column[i]) || std::isnan(column[j])) continue;
    worst = std::max(worst, std::abs(column[i] - column[j]));
  }
  return worst;
}

}  // namespace

Diagnostics settle_times(Rows& rows, const Layout& layout, std::string_view file_name, Diagnostics& warnings,
                         std::vector<Assumption>& assumptions) {
  const std::string file(file_name);
  if (newest_first(rows)) {
    turn_round(rows);
    assumptions.push_back({"the rows are read from the last to the first", "the newest stands first"});
  }
  const std::size_t n = rows.time.size();
  std::size_t distinct = 1;
  std::size_t backward = 0;
  for (std::size_t i = 1; i < n; ++i) {
    distinct += rows.time[i] != rows.time[i - 1] ? 1u : 0u;
    backward += rows.time[i] < rows.time[i - 1] ? 1u : 0u;
  }
  const bool coarse = distinct * 3 < n * 2;
  if (coarse && !layout.has_header && layout.dialect.delimiter == ',') {
    return {
        error("log-comma-clash", {file, rows.line.front(), 0},
              "the first column repeats itself: the comma may stand within numbers as well as between them",
              "export with semicolons between columns, or with decimal points")};
  }
  if (distinct < 10) {
    return {error("log-time-backward", {file, rows.line.front(), 0},
                  fmt::format("the time column has only {}",
                              counted(static_cast<long>(distinct), "value", "different values")),
                  "log again with a running time, or say how far apart the rows are: handlot profile --every \"2 s\" (--remember keeps it)")};
  }
  if (coarse && backward == 0) {
    spread_ticks(rows);
    assumptions.push_back({"rows of one clock tick are spread evenly over it",
                           fmt::format("the clock shows {} times in {} rows", distinct, n)});
    return {};
  }
  std::vector<char> keep(n, 1);
  Doubled doubled;
  int out_of_order = 0;
  int out_line = 0;
  std::size_t last = 0;
  for (std::size_t i = 1; i < n; ++i) {
    if (rows.time[i] > rows.time[last]) {
      last = i;
    } else if (rows.time[i] == rows.time[last]) {
      const double apart = difference(rows, i, last);
      if (doubled.same + doubled.differing == 0) doubled.first_line = rows.line[i];
      (apart > 0 ? doubled.differing : doubled.same)++;
      doubled.worst = std::max(doubled.worst, apart);
      keep[i] = 0;
    } else {
      // One row out of its place is left out; a clock that stays back, or a second run, is not ours to mend.
      const bool stays = i + 1 < n && rows.time[i + 1] <= rows.time[last];
      const bool stays_long = stays && i + 2 < n && rows.time[i + 2] <= rows.time[last];
      if (stays_long || out_of_order > 20) {
        return {error("log-time-backward", {file, rows.line[i], 0},
                      fmt::format("the time runs back from {} s to {} s", number(rows.time[last], 3),
                                  number(rows.time[i], 3)),
                      "cut the file where a second run starts, or where the clock was set, and read the "
                      "parts one by one")};
      }
      if (out_of_order++ == 0) out_line = rows.line[i];
      keep[i] = 0;
    }
  }
  if (doubled.same + doubled.differing > 0) {
    warnings.push_back(
        warning("log-doubled-time", {file, doubled.first_line, 0},
                fmt::format("{} of the same time left out ({} with other readings, at most {} apart)",
                            counted(doubled.same + doubled.differing, "row", "rows"), doubled.differing,
                            number(doubled.worst, 2)),
                "check the logger's clock"));
  }
  if (out_of_order > 0) {
    warnings.push_back(warning("log-row-out-of-order", {file, out_line, 0},
                               fmt::format("{} out of order left out", counted(out_of_order, "row", "rows")),
                               "check the logger's clock"));
  }
  if (doubled.same + doubled.differing + out_of_order > 0) keep_rows(rows, keep);
  return {};
}

}  // namespace handlot::reflow::text
