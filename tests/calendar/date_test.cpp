#include "calendar/date.h"

#include <catch2/catch.hpp>

#include <tuple>
#include <vector>

using namespace handlot;
using namespace handlot::calendar;

namespace {

/// The plain twin: day by day from Thursday 1 January 1970.
struct Counted {
  Date date{1970, 1, 1};
  Weekday day = Weekday::thursday;
  void step() {
    static constexpr int kLengths[12]{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    const bool leap = (date.year % 4 == 0 && date.year % 100 != 0) || date.year % 400 == 0;
    const int length = kLengths[date.month - 1] + (date.month == 2 && leap ? 1 : 0);
    day = static_cast<Weekday>(static_cast<int>(day) % 7 + 1);
    if (++date.day <= length) return;
    date.day = 1;
    if (++date.month <= 12) return;
    date.month = 1;
    ++date.year;
  }
};

}  // namespace

// TRUTH  ISO 8601: week 1 is the one with the year's first Thursday, equally the one with 4 January. The
// dates below
//        are the usual worked examples of that rule [from memory of the standard's text].
TEST_CASE("weeks are numbered as ISO 8601 says", "[calendar][truth]") {
  using Row = std::tuple<Date, int, int>;
  for (const auto& [date, year, number] :
       {Row{{2005, 1, 1}, 2004, 53}, Row{{2005, 1, 2}, 2004, 53}, Row{{2005, 12, 31}, 2005, 52},
        Row{{2007, 1, 1}, 2007, 1}, Row{{2008, 12, 28}, 2008, 52}, Row{{2008, 12, 29}, 2009, 1},
        Row{{2010, 1, 3}, 2009, 53}, Row{{2010, 1, 4}, 2010, 1}, Row{{2026, 12, 31}, 2026, 53}}) {
    INFO(iso(date));
    CHECK(week(date) == Week{year, number});
  }
  CHECK(text(Week{2026, 9}) == "2026-W09");
}

TEST_CASE("dates, weekdays and weeks agree with counting day by day", "[calendar][twin]") {
  Counted counted;
  Week running{1970, 1};
  for (int i = 0; counted.date.year <= kLastYear; ++i, counted.step()) {
    const Date date = plus_days({1970, 1, 1}, i);
    if (counted.day == Weekday::monday && i > 0) {
      // A new week: number 1 if its Thursday is within the first seven days of a year.
      Counted thursday = counted;
      for (int k = 0; k < 3; ++k) thursday.step();
      const bool first = thursday.date.month == 1 && thursday.date.day <= 7;
      running = first ? Week{thursday.date.year, 1} : Week{running.year, running.number + 1};
    }
    if (date != counted.date || weekday(date) != counted.day || week(date) != running || !exists(date) ||
        days_between({1970, 1, 1}, date) != i) {
      FAIL(iso(date));
    }
  }
}

TEST_CASE("dates and times are read in one form, and everything else is answered", "[calendar][errors]") {
  CHECK(read_date("2026-12-01") == Date{2026, 12, 1});
  CHECK(read_time("8:30") == TimeOfDay{30600});
  CHECK(read_time("24:00") == TimeOfDay{86400});
  CHECK(read_time("08:30:15") == TimeOfDay{30615});
  CHECK(read_local("2026-12-01T08:30") == Local{{2026, 12, 1}, {30600}});
  CHECK(read_weekday("Tue") == Weekday::tuesday);
  CHECK(read_weekday("SUNDAY") == Weekday::sunday);
  for (const char* wrong : {"", "1.12.2026", "2026-13-01", "2026-02-29", "2026-12-1x", "26-12-01",
                            "2026-00-10", "2026-12-00", "-026-12-01", "2026-12", "2026--01"}) {
    INFO(wrong);
    REQUIRE_FALSE(read_date(wrong));
    CHECK(read_date(wrong).error().at(0).code == "date-unreadable");
  }
  CHECK(read_date("1969-12-31").error().at(0).code == "date-out-of-range");
  CHECK(read_date("2038-01-01").error().at(0).code == "date-out-of-range");
  for (const char* wrong :
       {"", "8", "24:01", "8:5", "08:60", "25:00", "8.30", "08:30:60", "-1:00", "8:30 pm"}) {
    INFO(wrong);
    REQUIRE_FALSE(read_time(wrong));
    CHECK(read_time(wrong).error().at(0).code == "time-unreadable");
  }
  CHECK(read_local("2026-12-01").error().at(0).code == "date-unreadable");
  CHECK(read_weekday("tu").error().at(0).code == "weekday-unknown");
  CHECK(format(read_date("1.12.26", {"job.xml", 4, 0}).error().at(0)) ==
        "job.xml:4: error: '1.12.26' is not a date [date-unreadable]\n"
        "  mend: write year-month-day, such as 2026-12-01\n");
}

TEST_CASE("a date is said short for a table and long for a heading", "[calendar]") {
  CHECK(short_text(Date{2026, 12, 1}) == "Tue 1 Dec");
  CHECK(long_text(Date{2026, 12, 1}) == "Tuesday 1 December 2026");
  CHECK(clock({30600}) == "08:30");
  CHECK(clock({30615}) == "08:30:15");
  CHECK(clock({86400}) == "24:00");
  CHECK(word(Weekday::sunday) == "Sunday");
}
