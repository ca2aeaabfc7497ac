// opening.h: the hours of a shop, from "weekdays 18:00 to 22:30" to a list of absolute spans.
#pragma once

#include <vector>

#include "calendar/date.h"
#include "calendar/zone.h"
#include "core/diagnostic.h"
#include "core/quantity.h"

namespace handlot::calendar {

/// Open every week on `day` from `from` to `to` by the wall clock. `to` not after `from` runs past midnight:
/// 22:00 to 02:00 belongs to the day it begins on.
struct Opening {
  Weekday day = Weekday::monday;
  TimeOfDay from;
  TimeOfDay to;
};

/// Another span on one date only; it adds to the weekly hours, or replaces them if the date is closed too.
struct ExtraOpening {
  Date date;
  TimeOfDay from;
  TimeOfDay to;
};

struct ShopWeek {
  std::vector<Opening> openings;
  std::vector<Date> closed;  ///< no weekly opening begins on these
  std::vector<ExtraOpening> extra;
};

/// Half-open: [open, close).
struct Span {
  Instant open;
  Instant close;
  auto operator<=>(const Span&) const = default;
};

/// The hours of `days` calendar days from the date of `first` on, cut off before `first`.
///
/// Returns  ascending spans that neither touch nor overlap (those that do are joined). A span that begins in
/// the
///          last day runs to its end, even past midnight.
///          When clocks change inside a span, it is as much longer or shorter as the wall clock says. A
///          reading that the clock jumps over counts as the moment of the change, one that comes twice as its
///          first time; a span of which nothing is left is dropped.
/// Given    days >= 0; 0 gives none.
/// Cost     days x openings.
std::vector<Span> hours(const ShopWeek& week, const Zone& zone, Instant first, int days);

/// Open day and night.
std::vector<Span> always(Instant first, int days);

/// "mon-fri 18:00-22:30" or "sat 9:00-13:00, sun 10:00-12:00": openings as a job file writes them. A wrap
/// round the end of the week ("sat-mon") is allowed. Errors   hours-unreadable, weekday-unknown,
/// time-unreadable, hours-empty (from = to); all that are wrong at once.
Result<std::vector<Opening>> read_openings(std::string_view text, const Place& place = {});

}  // namespace handlot::calendar
