#include "reflow/log.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"
#include "reflow/log_layout.h"
#include "reflow/log_rows.h"

namespace handlot::reflow {

std::string_view word(ChannelRole role) {
  switch (role) {
    case ChannelRole::unknown:
      return "unknown";
    case ChannelRole::board:
      return "board";
    case ChannelRole::air:
      return "air";
    case ChannelRole::control:
      return "control";
    case ChannelRole::set_curve:
      return "set";
    case ChannelRole::other:
      return "other";
  }
  return "";
}

std::optional<ChannelRole> role_named(std::string_view named) {
  for (const ChannelRole role : {ChannelRole::unknown, ChannelRole::board, ChannelRole::air,
                                 ChannelRole::control, ChannelRole::set_curve, ChannelRole::other}) {
    if (word(role) == named) return role;
  }
  return std::nullopt;
}

namespace {

constexpr double kGapSteps = 3;  // rows further apart than so many usual steps leave a gap

Channel make_channel(const text::Layout& layout, text::Rows& rows, std::size_t k, const LoggerMemory& said) {
  const text::Column& column = layout.columns[rows.columns[k]];
  Channel channel;
  channel.name = column.heading.name;
  channel.role = column.role;
  channel.celsius = std::move(rows.readings[k]);
  channel.open = rows.tokens[k][0];
  channel.out_of_range = rows.tokens[k][1];
  channel.no_data = rows.tokens[k][2];
  for (const ChannelSays& says : said.channels) {
    if (lower(says.column) != lower(column.heading.raw) &&
        lower(says.column) != lower(channel.name))
      continue;
    channel.where = says.where;
    channel.attached = says.attached;
  }
  return channel;
}

void tell_roles(const text::Layout& layout, std::vector<Assumption>& assumptions) {
  for (const text::Column& column : layout.columns) {
    if (column.kind == text::Column::Kind::temperature && column.named) {
      assumptions.push_back({fmt::format("'{}' is taken as {}", column.heading.raw,
                                         column.role == ChannelRole::set_curve ? "the set curve"
                                         : column.role == ChannelRole::board   ? "a place on the board"
                                         : column.role == ChannelRole::air     ? "the oven's air"
                                                                               : "the controller's sensor"),
                             "by its name"});
    } else if (column.kind == text::Column::Kind::other) {
      assumptions.push_back(
          {fmt::format("'{}' is not read", column.heading.raw), "nothing says that it is a temperature"});
    }
  }
}

void find_gaps(Log& log) {
  Trace plain{log.seconds, log.seconds, {}};
  log.step = typical_step(plain);
  for (std::size_t i = 1; i < log.seconds.size(); ++i) {
    if (log.seconds[i] - log.seconds[i - 1] > kGapSteps * log.step.value) {
      log.gaps.push_back({Seconds(log.seconds[i - 1]), Seconds(log.seconds[i]), "no rows"});
    }
  }
}

}  // namespace

Result<Log> read_log(std::string_view bytes, std::string_view file, const LoggerMemory& said) {
  auto utf8 = text::as_utf8(bytes, file);
  if (!utf8) return fail(std::move(utf8.error()));
  const std::vector<std::string_view> lines = text::lines_of(*utf8);
  Log log;
  log.file = std::string(file);
  auto layout = text::find_layout(lines, file, said, log.assumptions);
  if (!layout) return fail(std::move(layout.error()));
  auto rows = text::read_rows(lines, *layout, file, log.warnings, log.assumptions);
  if (!rows) return fail(std::move(rows.error()));
  log.memory = said;
  log.memory.signature = layout->signature;
  log.memory.decimal_mark = layout->dialect.decimal;
  // Doubled ticks must go before the length tells the unit; both can be wrong at once, so both are told.
  Diagnostics faults = text::settle_times(*rows, *layout, file, log.warnings, log.assumptions);
  if (faults.empty())
    faults = text::settle_time_unit(*rows, *layout, file, said, log.memory, log.assumptions);
  const Diagnostics more =
      text::settle_temperature_unit(*rows, *layout, file, said, log.memory, log.warnings, log.assumptions);
  faults.insert(faults.end(), more.begin(), more.end());
  if (!faults.empty()) return fail(std::move(faults));
  tell_roles(*layout, log.assumptions);
  log.seconds = std::move(rows->time);
  if (rows->line.size() == log.seconds.size()) log.lines = std::move(rows->line);
  log.memory.channels.clear();
  for (std::size_t k = 0; k < rows->columns.size(); ++k) {
    log.channels.push_back(make_channel(*layout, *rows, k, said));
    const Channel& c = log.channels.back();
    log.memory.channels.push_back(
        {layout->columns[rows->columns[k]].heading.raw, c.role, c.where, c.attached});
  }
  find_gaps(log);
  return log;
}

Trace trace_of(const Log& log, const Channel& channel) {
  Trace trace;
  trace.seconds.reserve(log.seconds.size());
  trace.celsius.reserve(log.seconds.size());
  std::size_t missing = 0;
  for (std::size_t i = 0; i < log.seconds.size(); ++i) {
    if (std::isnan(channel.celsius[i])) {
      ++missing;
      continue;
    }
    if (missing > 0 && !trace.empty()) {
      trace.gaps.push_back({Seconds(trace.seconds.back()), Seconds(log.seconds[i]), "no reading"});
    }
    missing = 0;
    trace.seconds.push_back(log.seconds[i]);
    trace.celsius.push_back(channel.celsius[i]);
  }
  if (missing > 0 && !trace.empty()) trace.gaps.push_back({Seconds(trace.seconds.back()), Seconds(log.seconds.back()), "no reading"});
  // Missing rows are gaps of every channel; one that a missing reading already spans is said once.
  for (const Gap& gap : log.gaps) {
    const bool spanned = std::any_of(trace.gaps.begin(), trace.gaps.end(),
                                     [&](const Gap& g) { return g.from <= gap.from && g.to >= gap.to; });
    if (!spanned) trace.gaps.push_back(gap);
  }
  std::sort(trace.gaps.begin(), trace.gaps.end(), [](const Gap& a, const Gap& b) { return a.from < b.from; });
  return trace;
}

}  // namespace handlot::reflow
