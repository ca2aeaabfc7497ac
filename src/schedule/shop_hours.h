// shop_hours.h: how hands-on work lies in the hours of a shop.
#pragma once

#include <cstdint>
#include <limits>
#include <vector>

#include "plan/schedule.h"

namespace handlot::schedule {

/// Seconds after Work::start. The schedule layer reckons in these and turns them back at the end.
using Time = std::int64_t;
inline constexpr Time kNever = std::numeric_limits<Time>::max() / 4;

struct OpenSpan {
  Time open = 0;
  Time close = 0;
};

/// The shop's hours from the start of the plan on.
///
///   open   |#######|      |#######|
///   work       [===]      [=]          may pause: 4 units of work, end in the second span
///   work                  [====]       may not: waits for a span that holds it whole
class ShopHours {
 public:
  ShopHours(const std::vector<plan::Interval>& hours, Instant start);

  /// The earliest start at or after `from` of `length` seconds of work; `from` itself for no length; kNever
  /// if the hours end before.
  Time start_from(Time from, Time length, bool may_pause) const;

  /// The latest start at or before `until`; -1 if there is none.
  Time start_until(Time until, Time length, bool may_pause) const;

  /// When work begun at `start` is done. Given  start == start_from(start, length, may_pause). kNever if the
  /// hours end before.
  Time end_of(Time start, Time length, bool may_pause) const;

  /// The latest start whose end is at or before `end`; -1 if there is none.
  Time start_for_end(Time end, Time length, bool may_pause) const;

  /// The first moment at or after `from` at which somebody is there to begin what runs by itself: closing time counts. `from`
  /// where no hours are known; kNever if they end before.
  Time attended_from(Time from) const;

  /// The last such moment at or before `until`; -1 if there is none.
  Time attended_until(Time until) const;

  /// Open seconds in [from, to).
  Time open_between(Time from, Time to) const;

  Time longest_span() const;
  Time total() const { return total_; }
  const std::vector<OpenSpan>& spans() const { return spans_; }

 private:
  std::size_t span_at(Time t) const;  ///< the first span that closes after t; spans_.size() if none
  Time worked_before(Time t) const;   ///< open seconds in [0, t)
  Time moment_of(Time worked) const;  ///< the first t with that much open time before it

  std::vector<OpenSpan> spans_;
  std::vector<Time> before_;  ///< open seconds before each span
  Time total_ = 0;
};

}  // namespace handlot::schedule
