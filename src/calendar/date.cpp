#include "calendar/date.h"
#include "core/text.h"

#include <date/date.h>
#include <fmt/format.h>

#include <array>
#include <vector>


namespace handlot::calendar {

namespace {

constexpr std::array<std::string_view, 7> kDays{"Monday", "Tuesday",  "Wednesday", "Thursday",
                                                "Friday", "Saturday", "Sunday"};
constexpr std::array<std::string_view, 12> kMonths{"January",   "February", "March",    "April",
                                                   "May",       "June",     "July",     "August",
                                                   "September", "October",  "November", "December"};
constexpr std::size_t kShortWord = 3;

::date::sys_days days(const Date& d) {
  return ::date::sys_days(::date::year(d.year) / ::date::month(static_cast<unsigned>(d.month)) /
                          ::date::day(static_cast<unsigned>(d.day)));
}

Date from_days(::date::sys_days point) {
  const ::date::year_month_day ymd(point);
  return {static_cast<int>(ymd.year()), static_cast<int>(static_cast<unsigned>(ymd.month())),
          static_cast<int>(static_cast<unsigned>(ymd.day()))};
}

std::string_view name(Weekday day) {
  return kDays[static_cast<std::size_t>(day) - 1];
}
std::string_view month_name(const Date& d) {
  return kMonths[static_cast<std::size_t>(d.month) - 1];
}

/// The number of `shortest` to `longest` digits and nothing else; -1 if that is not what stands there.
int whole(std::string_view text, std::size_t shortest, std::size_t longest) {
  if (text.size() < shortest || text.size() > longest) return -1;
  int value = 0;
  for (const char c : text) {
    if (c < '0' || c > '9') return -1;
    value = value * 10 + (c - '0');
  }
  return value;
}

std::vector<std::string_view> split(std::string_view text, char at) {
  std::vector<std::string_view> pieces;
  for (std::size_t begin = 0;;) {
    const std::size_t end = text.find(at, begin);
    pieces.push_back(text.substr(begin, end - begin));
    if (end == std::string_view::npos) return pieces;
    begin = end + 1;
  }
}

}  // namespace

bool exists(const Date& d) {
  return d.month >= 1 && d.month <= 12 && d.day >= 1 &&
         (::date::year(d.year) / ::date::month(static_cast<unsigned>(d.month)) /
          ::date::day(static_cast<unsigned>(d.day)))
             .ok();
}

Weekday weekday(const Date& d) {
  return static_cast<Weekday>(::date::weekday(days(d)).iso_encoding());
}

Week week(const Date& d) {
  const Date thursday = plus_days(d, 4 - static_cast<int>(weekday(d)));
  return {thursday.year, 1 + days_between({thursday.year, 1, 1}, thursday) / 7};
}

Date plus_days(const Date& d, int count) {
  return from_days(days(d) + ::date::days(count));
}

int days_between(const Date& a, const Date& b) {
  return static_cast<int>((days(b) - days(a)).count());
}

Result<Date> read_date(std::string_view text, const Place& place) {
  const auto parts = split(text, '-');
  if (parts.size() == 3) {
    const Date date{whole(parts[0], 4, 4), whole(parts[1], 1, 2), whole(parts[2], 1, 2)};
    if (date.year >= 0 && date.month >= 0 && date.day >= 0) {
      if (!exists(date)) {
        return fail(error("date-unreadable", place, fmt::format("there is no date '{}'", text),
                          "write year-month-day, such as 2026-12-01"));
      }
      if (date.year < kFirstYear || date.year > kLastYear) {
        return fail(error("date-out-of-range", place,
                          fmt::format("'{}' is outside {} to {}", text, kFirstYear, kLastYear),
                          "give the year in four digits and within that range"));
      }
      return date;
    }
  }
  return fail(error("date-unreadable", place, fmt::format("'{}' is not a date", text),
                    "write year-month-day, such as 2026-12-01"));
}

Result<TimeOfDay> read_time(std::string_view text, const Place& place) {
  const auto parts = split(text, ':');
  if (parts.size() == 2 || parts.size() == 3) {
    const int hour = whole(parts[0], 1, 2), minute = whole(parts[1], 2, 2);
    const int second = parts.size() == 2 ? 0 : whole(parts[2], 2, 2);
    if (hour >= 0 && minute >= 0 && second >= 0 && minute < 60 && second < 60) {
      const int total = hour * 3600 + minute * 60 + second;
      if (total <= 86400) return TimeOfDay{total};
    }
  }
  return fail(error("time-unreadable", place, fmt::format("'{}' is not a time of day", text),
                    "write hours and minutes, such as 08:30; 24:00 ends a day"));
}

Result<Local> read_local(std::string_view text, const Place& place) {
  const std::size_t gap = text.find_first_of(" T");
  if (gap == std::string_view::npos) {
    return fail(error("date-unreadable", place, fmt::format("'{}' is not a date with a time", text),
                      "write date and time, such as 2026-12-01 08:30"));
  }
  const auto date = read_date(text.substr(0, gap), place);
  const auto time = read_time(text.substr(gap + 1), place);
  if (!date) return fail(date.error());
  if (!time) return fail(time.error());
  return Local{*date, *time};
}

Result<Weekday> read_weekday(std::string_view text, const Place& place) {
  const std::string wanted = lower(text);
  for (std::size_t i = 0; i < kDays.size(); ++i) {
    const std::string full = lower(kDays[i]);
    if (wanted == full || wanted == full.substr(0, kShortWord)) return static_cast<Weekday>(i + 1);
  }
  return fail(error("weekday-unknown", place, fmt::format("'{}' is not a day of the week", text),
                    "write mon, tue, wed, thu, fri, sat or sun"));
}

std::string_view short_word(Weekday day) {
  return name(day).substr(0, kShortWord);
}
std::string_view word(Weekday day) {
  return name(day);
}

std::string iso(const Date& d) {
  return fmt::format("{:04}-{:02}-{:02}", d.year, d.month, d.day);
}

std::string short_text(const Date& d) {
  return fmt::format("{} {} {}", short_word(weekday(d)), d.day, month_name(d).substr(0, kShortWord));
}

std::string long_text(const Date& d) {
  return fmt::format("{} {} {} {}", word(weekday(d)), d.day, month_name(d), d.year);
}

std::string clock(TimeOfDay time) {
  const int hour = time.seconds / 3600, minute = time.seconds / 60 % 60, second = time.seconds % 60;
  return second == 0 ? fmt::format("{:02}:{:02}", hour, minute)
                     : fmt::format("{:02}:{:02}:{:02}", hour, minute, second);
}

std::string text(const Week& w) {
  return fmt::format("{:04}-W{:02}", w.year, w.number);
}

}  // namespace handlot::calendar
