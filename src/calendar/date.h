// date.h: dates and clock readings as people write them, without a zone.
#pragma once

#include <compare>
#include <string>
#include <string_view>

#include "core/diagnostic.h"
#include "core/quantity.h"

namespace handlot::calendar {

/// The years that zones are known for: system zone files list their clock changes up to 2037.
inline constexpr int kFirstYear = 1970;
inline constexpr int kLastYear = 2037;

enum class Weekday { monday = 1, tuesday, wednesday, thursday, friday, saturday, sunday };

/// A day of the Gregorian calendar.
struct Date {
  int year = kFirstYear;
  int month = 1;  ///< 1 to 12
  int day = 1;    ///< 1 to 31
  auto operator<=>(const Date&) const = default;
};

/// Seconds after midnight as the wall clock shows them: 0 to 24 h (24:00 ends a day).
struct TimeOfDay {
  int seconds = 0;
  auto operator<=>(const TimeOfDay&) const = default;
};

/// What calendar and wall clock show together. In which zone is the reader's knowledge.
struct Local {
  Date date;
  TimeOfDay time;
  auto operator<=>(const Local&) const = default;
};

/// A week of ISO 8601: Monday to Sunday, belonging to the year that has its Thursday.
struct Week {
  int year = kFirstYear;
  int number = 1;
  auto operator<=>(const Week&) const = default;
};

bool exists(const Date& date);
Weekday weekday(const Date& date);
Week week(const Date& date);
Date plus_days(const Date& date, int days);

/// Days from `a` to `b`; negative when b is the earlier one.
int days_between(const Date& a, const Date& b);

/// Readers. `place` is where the text stands; it goes into the diagnostic.
///   date   "2026-12-01"
///   time   "08:30", "8:30", "08:30:15", "24:00"
///   local  "2026-12-01 08:30" or "2026-12-01T08:30"
///   day    "mon" to "sun", or the whole English word, capitals or not
/// Errors   date-unreadable, time-unreadable, weekday-unknown: each with what was written and a form that is
/// read.
///          date-out-of-range: before kFirstYear or after kLastYear.
Result<Date> read_date(std::string_view text, const Place& place = {});
Result<TimeOfDay> read_time(std::string_view text, const Place& place = {});
Result<Local> read_local(std::string_view text, const Place& place = {});
Result<Weekday> read_weekday(std::string_view text, const Place& place = {});

std::string_view short_word(Weekday day);  ///< "Tue"
std::string_view word(Weekday day);        ///< "Tuesday"
std::string iso(const Date& date);         ///< "2026-12-01"
std::string short_text(const Date& date);  ///< "Tue 1 Dec"
std::string long_text(const Date& date);   ///< "Tuesday 1 December 2026"
std::string clock(TimeOfDay time);         ///< "08:30"; seconds only where there are any: "08:30:15"
std::string text(const Week& week);        ///< "2026-W49"

}  // namespace handlot::calendar
