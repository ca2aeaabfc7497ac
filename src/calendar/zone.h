// zone.h: wall clocks and instants, with both clock changes of the year.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "calendar/date.h"
#include "core/diagnostic.h"
#include "core/quantity.h"

namespace date {
class time_zone;
}

namespace handlot::calendar {

/// A reading of the wall clock as a moment. When clocks go forward a stretch of readings never comes; when
/// they go back a stretch comes twice.
///
///   once   the one moment
///   never  the moment of the change: the clock jumps over the reading there
///   twice  the first of the two; `second` is the other
struct Moment {
  enum class Kind { once, never, twice };
  Kind kind = Kind::once;
  Instant at;
  Instant second;  ///< = at, but for twice
};

/// Clocks change at `at` from `before` to `after` (offsets from UTC).
struct ClockChange {
  Instant at;
  Duration before{0};
  Duration after{0};
  auto operator<=>(const ClockChange&) const = default;
};

/// A time zone of the IANA data base, as installed on the system. A handle: copies are cheap, the data lives
/// as long as the program.
class Zone {
 public:
  /// Errors  zone-unknown: no such name (with the closest one that there is, case ignored);
  ///         zone-data-missing: no zone data on this system.
  static Result<Zone> find(std::string_view name, const Place& place = {});

  std::string name() const;                 ///< "Europe/Paris"
  Local local(Instant at) const;            ///< what calendar and clock show
  Moment moment(const Local& local) const;  ///< 24:00 is 00:00 of the next day
  Duration offset(Instant at) const;        ///< from UTC, east is positive
  std::string letters(Instant at) const;    ///< "CET", "CEST"; "+03" where a zone has no letters
  bool twice(Instant at) const;             ///< the clock shows this reading twice that day

  /// Changes of offset in [from, to), ascending.
  std::vector<ClockChange> changes(Instant from, Instant to) const;

 private:
  explicit Zone(const ::date::time_zone* data) : data_(data) {}
  const ::date::time_zone* data_;
};

/// "Tue 1 Dec 08:30"; with the zone's letters where the clock shows the reading twice: "Sun 25 Oct 02:30
/// CEST".
std::string short_text(Instant at, const Zone& zone);

/// "Tuesday 1 December 2026, 08:30 CET (Europe/Paris)"
std::string long_text(Instant at, const Zone& zone);

/// "2026-12-01T08:30:00+01:00"
std::string iso(Instant at, const Zone& zone);

/// "clocks go back 1 h on Sun 25 Oct at 03:00 CEST"
std::string text(const ClockChange& change, const Zone& zone);

/// "2026-12-01 08:30" in the zone.
/// Errors  those of read_local, and local-time-never for a reading that the clock jumps over.
///         A reading that comes twice is taken as the first one.
Result<Instant> read_instant(std::string_view text, const Zone& zone, const Place& place = {});

}  // namespace handlot::calendar
