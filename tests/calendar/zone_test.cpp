#include "calendar/zone.h"

#include <catch2/catch.hpp>

#include "calendar/opening.h"

using namespace handlot;
using namespace handlot::calendar;

namespace {

Zone zone(const char* name) {
  const auto found = Zone::find(name);
  REQUIRE(found);
  return *found;
}

Instant utc(int year, int month, int day, int hour, int minute = 0) {
  return Instant(86400LL * days_between({1970, 1, 1}, {year, month, day}) + 3600LL * hour + 60LL * minute);
}

Date last_sunday(int year, int month, int length) {
  Date date{year, month, length};
  while (weekday(date) != Weekday::sunday) --date.day;
  return date;
}

}  // namespace

// TRUTH  Directive 2000/84/EC, articles 2 and 3: summer time begins at 1.00 a.m. GMT on the last Sunday in
// March and
//        ends at 1.00 a.m. GMT on the last Sunday in October, from 2002 on [from memory].
TEST_CASE("Paris changes its clocks when the directive says", "[calendar][truth]") {
  const Zone paris = zone("Europe/Paris");
  for (int year = 2002; year < kLastYear; ++year) {
    const Date spring = last_sunday(year, 3, 31), autumn = last_sunday(year, 10, 31);
    const Instant forward = utc(year, 3, spring.day, 1), back = utc(year, 10, autumn.day, 1);
    INFO(year);
    CHECK(paris.changes(utc(year, 1, 1, 0), utc(year + 1, 1, 1, 0)) ==
          std::vector<ClockChange>{{forward, hours(1), hours(2)}, {back, hours(2), hours(1)}});
    CHECK(paris.offset(Instant(forward.seconds - 1)) == hours(1));
    CHECK(paris.offset(forward) == hours(2));
  }
}

// TRUTH  US Energy Policy Act of 2005, section 110: second Sunday of March to first Sunday of November, at 2
// a.m. local
//        time, from 2007 on [from memory].
TEST_CASE("New York changes its clocks when the act says", "[calendar][truth]") {
  const Zone york = zone("America/New_York");
  for (int year = 2007; year < kLastYear; ++year) {
    int march = 8, november = 1;
    while (weekday({year, 3, march}) != Weekday::sunday) ++march;
    while (weekday({year, 11, november}) != Weekday::sunday) ++november;
    CHECK(york.changes(utc(year, 1, 1, 12), utc(year, 12, 31, 12)) ==
          std::vector<ClockChange>{{utc(year, 3, march, 7), hours(-5), hours(-4)},
                                   {utc(year, 11, november, 6), hours(-4), hours(-5)}});
  }
}

TEST_CASE("a reading that never comes is the moment of the change, one that comes twice the first",
          "[calendar]") {
  const Zone paris = zone("Europe/Paris");
  const Moment spring = paris.moment({{2026, 3, 29}, {2 * 3600 + 1800}});
  CHECK(spring.kind == Moment::Kind::never);
  CHECK(spring.at == utc(2026, 3, 29, 1));
  const Moment autumn = paris.moment({{2026, 10, 25}, {2 * 3600 + 1800}});
  CHECK(autumn.kind == Moment::Kind::twice);
  CHECK(autumn.at == utc(2026, 10, 25, 0, 30));
  CHECK(autumn.second == utc(2026, 10, 25, 1, 30));
  CHECK(paris.moment({{2026, 12, 1}, {86400}}).at == paris.moment({{2026, 12, 2}, {0}}).at);
  CHECK(read_instant("2026-12-01 08:30", paris) == utc(2026, 12, 1, 7, 30));
  CHECK(format(read_instant("2026-03-29 02:30", paris, {"job.xml", 3, 0}).error().at(0)) ==
        "job.xml:3: error: clocks in Europe/Paris jump over 02:30 on 2026-03-29 [local-time-never]\n"
        "  mend: write 03:00 or later\n");
}

TEST_CASE("a moment and its reading lead back to each other in every zone, by the half hour",
          "[calendar][property]") {
  for (const char* name :
       {"UTC", "Europe/Paris", "America/St_Johns", "Australia/Lord_Howe", "Asia/Kathmandu"}) {
    const Zone there = zone(name);
    for (Instant at = utc(2026, 1, 1, 0); at < utc(2027, 1, 1, 0); at = at + minutes(30)) {
      const Moment back = there.moment(there.local(at));
      if (back.kind == Moment::Kind::never || (back.at != at && back.second != at))
        FAIL(name << " " << iso(at, there));
    }
  }
}

TEST_CASE("moments are written with the zone where it matters", "[calendar]") {
  const Zone paris = zone("Europe/Paris");
  const Instant tuesday = utc(2026, 12, 1, 7, 30);
  CHECK(short_text(tuesday, paris) == "Tue 1 Dec 08:30");
  CHECK(long_text(tuesday, paris) == "Tuesday 1 December 2026, 08:30 CET (Europe/Paris)");
  CHECK(iso(tuesday, paris) == "2026-12-01T08:30:00+01:00");
  CHECK(iso(tuesday, zone("America/St_Johns")) == "2026-12-01T04:00:00-03:30");
  CHECK(short_text(utc(2026, 10, 25, 0, 30), paris) == "Sun 25 Oct 02:30 CEST");
  CHECK(short_text(utc(2026, 10, 25, 1, 30), paris) == "Sun 25 Oct 02:30 CET");
  const auto changes = paris.changes(utc(2026, 1, 1, 0), utc(2027, 1, 1, 0));
  REQUIRE(changes.size() == 2);
  CHECK(text(changes[0], paris) == "clocks go forward 1 h on Sun 29 Mar at 02:00 CET");
  CHECK(text(changes[1], paris) == "clocks go back 1 h on Sun 25 Oct at 03:00 CEST");
}

TEST_CASE("an unknown zone is answered with the one that was meant", "[calendar][errors]") {
  CHECK(format(Zone::find("europe/paris", {"job.xml", 2, 9}).error().at(0)) ==
        "job.xml:2:9: error: no time zone 'europe/paris' [zone-unknown]\n"
        "  mend: write 'Europe/Paris'\n");
  CHECK(Zone::find("Europe/Pairs").error().at(0).mend == "write 'Europe/Paris'");
  CHECK(Zone::find("").error().at(0).code == "zone-unknown");
}

TEST_CASE("shop hours follow the wall clock through both changes", "[calendar]") {
  const Zone paris = zone("Europe/Paris");
  ShopWeek week;
  week.openings = *read_openings("sat-sun 22:00-06:00");
  const auto spring = hours(week, paris, utc(2026, 3, 27, 12), 3);
  CHECK(spring == std::vector<Span>{{utc(2026, 3, 28, 21), utc(2026, 3, 29, 4)},
                                    {utc(2026, 3, 29, 20), utc(2026, 3, 30, 4)}});
  CHECK(spring[0].close - spring[0].open == hours(7));
  const auto autumn = hours(week, paris, utc(2026, 10, 24, 0), 1);
  REQUIRE(autumn.size() == 1);
  CHECK(autumn[0].close - autumn[0].open == hours(9));
}

TEST_CASE("shop hours: closed days, extra days, a night begun yesterday, spans that touch", "[calendar]") {
  const Zone there = zone("UTC");
  ShopWeek week;
  week.openings = *read_openings("mon-fri 09:00-12:00, mon-fri 12:00-17:00, tue 22:00-02:00");
  week.closed = {{2026, 12, 3}};
  week.extra = {{{2026, 12, 3}, {10 * 3600}, {11 * 3600}}};
  CHECK(hours(week, there, utc(2026, 12, 2, 1), 3) ==
        std::vector<Span>{{utc(2026, 12, 2, 1), utc(2026, 12, 2, 2)},
                          {utc(2026, 12, 2, 9), utc(2026, 12, 2, 17)},
                          {utc(2026, 12, 3, 10), utc(2026, 12, 3, 11)},
                          {utc(2026, 12, 4, 9), utc(2026, 12, 4, 17)}});
  CHECK(hours(week, there, utc(2026, 12, 2, 1), 0).empty());
  CHECK(always(utc(2026, 12, 2, 1), 2) == std::vector<Span>{{utc(2026, 12, 2, 1), utc(2026, 12, 4, 1)}});
}

TEST_CASE("shop hours: no reading twice, no instant lost, against minute by minute", "[calendar][twin]") {
  const Zone paris = zone("Europe/Paris");
  ShopWeek week;
  week.openings = *read_openings("mon-sat 08:15-12:30, sun 01:30-04:45, fri 23:00-01:00");
  for (const Instant first : {utc(2026, 3, 25, 10), utc(2026, 10, 21, 10), utc(2026, 7, 1, 0)}) {
    const auto spans = hours(week, paris, first, 7);
    for (Instant at = first; at < first + hours(24 * 6); at = at + minutes(5)) {
      const Local now = paris.local(at);
      const Weekday day = weekday(now.date), yesterday = weekday(plus_days(now.date, -1));
      const auto in = [&](int from, int to) {
        return now.time.seconds >= from * 60 && now.time.seconds < to * 60;
      };
      const bool plain =
          (day != Weekday::sunday && in(495, 750)) || (day == Weekday::sunday && in(90, 285)) ||
          (day == Weekday::friday && in(1380, 1440)) || (yesterday == Weekday::friday && in(0, 60));
      bool found = false;
      for (const Span& span : spans) found = found || (span.open <= at && at < span.close);
      if (plain != found) FAIL(iso(at, paris));
    }
  }
}

TEST_CASE("openings are read as a job file writes them, and all faults are told at once",
          "[calendar][errors]") {
  CHECK(read_openings("mon-fri 18:00-22:30")->size() == 5);
  CHECK(read_openings("sat-mon 9:00-13:00")->size() == 3);
  const auto wrong = read_openings("mon 18:00, tu 9:00-10:00, wed 9:00-9:00, 9:00-10:00", {"job.xml", 5, 0});
  REQUIRE_FALSE(wrong);
  REQUIRE(wrong.error().size() == 4);
  CHECK(wrong.error()[0].code == "hours-unreadable");
  CHECK(wrong.error()[1].code == "weekday-unknown");
  CHECK(wrong.error()[2].code == "hours-empty");
  CHECK(wrong.error()[3].code == "hours-unreadable");
}
