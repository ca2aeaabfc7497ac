// ics.h: the plan's clocks as calendar events, the second path beside the bench page's timers.
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "plan/plan.h"

namespace handlot::sheets {

/// An iCalendar file (RFC 5545) with one event for each wait of each sub-batch (it ends when the next step
/// may begin, with an alarm then) and one for each latest end (it begins when there is still time to act,
/// with an alarm then). Where a step runs in more than 12 sub-batches they share their events: from the first
/// clock's start to the last one's end, and the soonest latest end.
///
/// `previous`  the plan.ics of the export before, or empty. An event that has not changed keeps its SEQUENCE,
/// one that
///             has gets the next, one that is gone stands there as cancelled: a calendar that takes the file
///             in again updates its events and doubles none. What is no iCalendar counts as empty.
/// Returns     all times in UTC, so that a cure is as long as it is whatever the clocks do; DTSTAMP is the
/// plan's start.
///             The same plan and previous file give the same bytes.
std::string to_ics(const plan::Plan& plan, std::string_view previous = {});

/// An entry of a calendar, with one alarm.
struct CalendarEntry {
  std::string uid, summary, description, alarm;
  Instant from, to;
  bool alarm_at_end = true;  ///< else it rings at `from`
};

/// An iCalendar file of these entries, in UTC. A calendar that knows an entry of the same UID takes the one with
/// the larger `sequence`.
std::string calendar_of(std::span<const CalendarEntry> entries, Instant stamp, int sequence);

}  // namespace handlot::sheets
