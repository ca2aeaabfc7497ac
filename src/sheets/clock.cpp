#include "sheets/clock.h"

#include <fmt/format.h>

#include <chrono>

#include "calendar/date.h"

namespace handlot::sheets {

namespace {

constexpr std::int64_t kDay = 86400;

calendar::Local utc(Instant at) {
  using namespace std::chrono;
  const sys_days date = floor<days>(sys_seconds{seconds{at.seconds}});
  const year_month_day ymd{date};
  const auto rest = at.seconds - date.time_since_epoch().count() * kDay;
  return {{static_cast<int>(ymd.year()), static_cast<int>(static_cast<unsigned>(ymd.month())),
           static_cast<int>(static_cast<unsigned>(ymd.day()))},
          {static_cast<int>(rest)}};
}

std::string hours_and_minutes(calendar::TimeOfDay time) {
  return fmt::format("{:02}:{:02}", time.seconds / 3600, time.seconds / 60 % 60);
}

}  // namespace

std::string utc_text(Instant at) {
  const calendar::Local w = utc(at);
  return fmt::format("{}T{}:{:02}Z", calendar::iso(w.date), hours_and_minutes(w.time), w.time.seconds % 60);
}

Clock::Clock(const std::string& zone) {
  if (auto found = calendar::Zone::find(zone)) zone_ = *found;
}

calendar::Local Clock::local(Instant at) const {
  return zone_ ? zone_->local(at) : utc(at);
}

std::string Clock::moment(Instant at) const {
  return day(at) + " " + time(at);
}

std::string Clock::day(Instant at) const {
  return calendar::short_text(local(at).date);
}

std::string Clock::time(Instant at) const {
  std::string out = hours_and_minutes(local(at).time);
  if (zone_ && zone_->twice(at)) out += " " + zone_->letters(at);
  return out;
}

std::string Clock::full(Instant at) const {
  const calendar::Local w = local(at);
  return fmt::format("{}, {} {}", calendar::long_text(w.date), hours_and_minutes(w.time),
                     zone_ ? fmt::format("{} ({})", zone_->letters(at), zone_->name()) : "UTC");
}

Instant Clock::begin_of(const calendar::Date& date) const {
  if (zone_) return zone_->moment({date, {0}}).at;
  return Instant(calendar::days_between({1970, 1, 1}, date) * kDay);
}

Instant Clock::midnight(Instant at) const {
  return begin_of(local(at).date);
}

Instant Clock::next_midnight(Instant at) const {
  return begin_of(calendar::plus_days(local(at).date, 1));
}

int Clock::hour(Instant at) const {
  return local(at).time.seconds / 3600;
}

std::string Clock::zone() const {
  return zone_ ? zone_->name() : "UTC";
}

}  // namespace handlot::sheets
