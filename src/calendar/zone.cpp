#include "calendar/zone.h"

#include <date/tz.h>
#include <fmt/format.h>

#include <chrono>
#include <cstdlib>
#include <exception>
#include <optional>

#include "core/text.h"

namespace handlot::calendar {

namespace {

::date::sys_seconds point(Instant at) {
  return ::date::sys_seconds(std::chrono::seconds(at.seconds));
}
Instant instant(::date::sys_seconds at) {
  return Instant(at.time_since_epoch().count());
}

::date::local_seconds point(const Local& local) {
  const auto day = ::date::local_days(::date::year(local.date.year) /
                                      ::date::month(static_cast<unsigned>(local.date.month)) /
                                      ::date::day(static_cast<unsigned>(local.date.day)));
  return day + std::chrono::seconds(local.time.seconds);
}

std::string mend_for(std::string_view wrong, const ::date::tzdb& data) {
  std::vector<std::string> names;
  for (const auto& zone : data.zones) {
    if (lower(zone.name()) == lower(wrong)) return fmt::format("write '{}'", zone.name());
    names.push_back(zone.name());
  }
  const auto meant = closest(wrong, names);
  return meant ? fmt::format("write '{}'", *meant)
               : "write a name of the IANA zone data base, such as Europe/Paris";
}

std::string signed_hours(Duration offset) {
  const auto size = std::abs(offset.seconds);
  return fmt::format("{}{:02}:{:02}", offset.seconds < 0 ? '-' : '+', size / 3600, size / 60 % 60);
}

}  // namespace

Result<Zone> Zone::find(std::string_view name, const Place& place) {
  try {
    const ::date::tzdb& data = ::date::get_tzdb();
    for (const auto& zone : data.zones) {
      if (zone.name() == name) return Zone(&zone);
    }
    return fail(error("zone-unknown", place, fmt::format("no time zone '{}'", name), mend_for(name, data)));
  } catch (const std::exception&) {
    return fail(
        error("zone-data-missing", place, "this system has no time zone data", "install the package tzdata"));
  }
}

std::string Zone::name() const {
  return data_->name();
}

Local Zone::local(Instant at) const {
  const auto shown = data_->to_local(point(at));
  const auto day = ::date::floor<::date::days>(shown);
  const ::date::year_month_day ymd(day);
  return {{static_cast<int>(ymd.year()), static_cast<int>(static_cast<unsigned>(ymd.month())),
           static_cast<int>(static_cast<unsigned>(ymd.day()))},
          {static_cast<int>((shown - day).count())}};
}

Moment Zone::moment(const Local& local) const {
  const auto wanted = point(local);
  const auto info = data_->get_info(wanted);
  const auto by = [&](const ::date::sys_info& side) {
    return instant(::date::sys_seconds(wanted.time_since_epoch() - side.offset));
  };
  switch (info.result) {
    case ::date::local_info::nonexistent:
      return {Moment::Kind::never, instant(info.first.end), instant(info.first.end)};
    case ::date::local_info::ambiguous:
      return {Moment::Kind::twice, by(info.first), by(info.second)};
    default:
      return {Moment::Kind::once, by(info.first), by(info.first)};
  }
}

Duration Zone::offset(Instant at) const {
  return Duration(data_->get_info(point(at)).offset.count());
}

std::string Zone::letters(Instant at) const {
  return data_->get_info(point(at)).abbrev;
}

bool Zone::twice(Instant at) const {
  return moment(local(at)).kind == Moment::Kind::twice;
}

std::vector<ClockChange> Zone::changes(Instant from, Instant to) const {
  std::vector<ClockChange> found;
  for (Instant now = from; now < to;) {
    const Instant next = instant(data_->get_info(point(now)).end);
    if (next >= to) break;
    const ClockChange change{next, offset(Instant(next.seconds - 1)), offset(next)};
    if (change.before != change.after) found.push_back(change);
    now = next;
  }
  return found;
}

std::string short_text(Instant at, const Zone& zone) {
  const Local shown = zone.local(at);
  std::string text = fmt::format("{} {}", short_text(shown.date), clock(shown.time));
  if (zone.twice(at)) text += " " + zone.letters(at);
  return text;
}

std::string long_text(Instant at, const Zone& zone) {
  const Local shown = zone.local(at);
  return fmt::format("{}, {} {} ({})", long_text(shown.date), clock(shown.time), zone.letters(at),
                     zone.name());
}

std::string iso(Instant at, const Zone& zone) {
  const Local shown = zone.local(at);
  const int s = shown.time.seconds;
  return fmt::format("{}T{:02}:{:02}:{:02}{}", iso(shown.date), s / 3600, s / 60 % 60, s % 60,
                     signed_hours(zone.offset(at)));
}

std::string text(const ClockChange& change, const Zone& zone) {
  const Instant last(change.at.seconds - 1);
  const Local before = zone.local(last);
  // The clock's own reading of the moment of change, as it would have run on.
  const int reached = before.time.seconds + 1;
  const Date day = reached == 86400 ? plus_days(before.date, 1) : before.date;
  const Duration step = change.after - change.before;
  return fmt::format("clocks go {} {} on {} at {} {}", step.seconds > 0 ? "forward" : "back",
                     in_words(Duration(std::abs(step.seconds))), short_text(day),
                     clock(TimeOfDay{reached == 86400 ? 0 : reached}), zone.letters(last));
}

Result<Instant> read_instant(std::string_view text, const Zone& zone, const Place& place) {
  const auto local = read_local(text, place);
  if (!local) return fail(local.error());
  const Moment moment = zone.moment(*local);
  if (moment.kind == Moment::Kind::never) {
    return fail(error(
        "local-time-never", place,
        fmt::format("clocks in {} jump over {} on {}", zone.name(), clock(local->time), iso(local->date)),
        fmt::format("write {} or later", clock(zone.local(moment.at).time))));
  }
  return moment.at;
}

}  // namespace handlot::calendar
