#include "calendar/opening.h"

#include <fmt/format.h>

#include <algorithm>

namespace handlot::calendar {

namespace {

Span span_of(const Date& date, TimeOfDay from, TimeOfDay to, const Zone& zone) {
  const Date last = to > from ? date : plus_days(date, 1);
  return {zone.moment({date, from}).at, zone.moment({last, to}).at};
}

std::vector<Span> joined(std::vector<Span> spans) {
  std::sort(spans.begin(), spans.end());
  std::vector<Span> out;
  for (const Span& span : spans) {
    if (span.open >= span.close) continue;
    if (!out.empty() && span.open <= out.back().close) {
      out.back().close = std::max(out.back().close, span.close);
    } else {
      out.push_back(span);
    }
  }
  return out;
}

std::string_view trimmed(std::string_view text) {
  const std::size_t begin = text.find_first_not_of(" \t\n\r");
  if (begin == std::string_view::npos) return {};
  return text.substr(begin, text.find_last_not_of(" \t\n\r") - begin + 1);
}

/// "mon-fri" as first and last day, or one day twice.
Result<std::pair<Weekday, Weekday>> read_days(std::string_view text, const Place& place) {
  const std::size_t dash = text.find('-');
  const auto first = read_weekday(trimmed(text.substr(0, dash)), place);
  if (!first) return fail(first.error());
  if (dash == std::string_view::npos) return std::pair(*first, *first);
  const auto last = read_weekday(trimmed(text.substr(dash + 1)), place);
  if (!last) return fail(last.error());
  return std::pair(*first, *last);
}

/// One piece between commas.
Result<std::vector<Opening>> read_piece(std::string_view piece, const Place& place) {
  const std::size_t gap = piece.find_first_of(" \t");
  const std::string_view times =
      gap == std::string_view::npos ? std::string_view{} : trimmed(piece.substr(gap));
  const std::size_t dash = times.find('-');
  if (dash == std::string_view::npos) {
    return fail(error("hours-unreadable", place, fmt::format("'{}' does not say days and hours", piece),
                      "write such as mon-fri 18:00-22:30"));
  }
  const auto days = read_days(piece.substr(0, gap), place);
  const auto from = read_time(trimmed(times.substr(0, dash)), place);
  const auto to = read_time(trimmed(times.substr(dash + 1)), place);
  if (!days) return fail(days.error());
  if (!from) return fail(from.error());
  if (!to) return fail(to.error());
  if (*from == *to) {
    return fail(error("hours-empty", place, fmt::format("'{}' opens and closes at the same time", piece),
                      "give two different times, or 00:00-24:00 for the whole day"));
  }
  std::vector<Opening> openings;
  for (int day = static_cast<int>(days->first);; day = day % 7 + 1) {
    openings.push_back({static_cast<Weekday>(day), *from, *to});
    if (day == static_cast<int>(days->second)) return openings;
  }
}

}  // namespace

std::vector<Span> hours(const ShopWeek& week, const Zone& zone, Instant first, int days) {
  const Date today = zone.local(first).date;
  std::vector<Span> spans;
  // Yesterday's night shift may still run.
  for (int i = -1; i < days; ++i) {
    const Date date = plus_days(today, i);
    const bool closed = std::find(week.closed.begin(), week.closed.end(), date) != week.closed.end();
    for (const Opening& opening : week.openings) {
      if (!closed && opening.day == weekday(date))
        spans.push_back(span_of(date, opening.from, opening.to, zone));
    }
    for (const ExtraOpening& extra : week.extra) {
      if (extra.date == date) spans.push_back(span_of(date, extra.from, extra.to, zone));
    }
  }
  if (days <= 0) return {};
  for (Span& span : spans) span.open = std::max(span.open, first);
  return joined(std::move(spans));
}

std::vector<Span> always(Instant first, int days) {
  if (days <= 0) return {};
  return {{first, first + handlot::hours(24LL * days)}};
}

Result<std::vector<Opening>> read_openings(std::string_view text, const Place& place) {
  std::vector<Opening> openings;
  Diagnostics wrong;
  for (std::size_t begin = 0; begin <= text.size();) {
    const std::size_t comma = std::min(text.find(',', begin), text.size());
    const auto piece = read_piece(trimmed(text.substr(begin, comma - begin)), place);
    if (piece) {
      openings.insert(openings.end(), piece->begin(), piece->end());
    } else {
      wrong.insert(wrong.end(), piece.error().begin(), piece.error().end());
    }
    begin = comma + 1;
  }
  if (!wrong.empty()) return fail(std::move(wrong));
  return openings;
}

}  // namespace handlot::calendar
