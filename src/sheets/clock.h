// clock.h: moments of the plan as the sheet prints them. The only place of this layer that knows of zones.
#pragma once

#include <optional>
#include <string>

#include "calendar/zone.h"
#include "core/quantity.h"

namespace handlot::sheets {

/// "2026-11-25T13:37:00Z"
std::string utc_text(Instant at);

/// Reads moments as the wall clock of one zone shows them. An unknown or empty zone name reads as UTC, and
/// zone() says so.
class Clock {
 public:
  explicit Clock(const std::string& zone);

  std::string moment(
      Instant at) const;              ///< "Thu 26 Nov 14:20", with CET or CEST where the clock shows it twice
  std::string day(Instant at) const;  ///< "Thu 26 Nov"
  std::string time(Instant at) const;  ///< "14:20"; "02:30 CEST" where the clock shows it twice
  std::string full(Instant at) const;  ///< "Thursday 26 November 2026, 14:20 CET (Europe/Paris)"
  Instant midnight(Instant at) const;  ///< at which the day that holds `at` begins
  Instant next_midnight(Instant at) const;
  int hour(Instant at) const;  ///< of the wall clock, 0 to 23
  std::string zone() const;    ///< "Europe/Paris", or "UTC"

 private:
  calendar::Local local(Instant at) const;
  Instant begin_of(const calendar::Date& date) const;

  std::optional<calendar::Zone> zone_;
};

}  // namespace handlot::sheets
