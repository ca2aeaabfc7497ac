#include "schedule/shop_hours.h"

#include <algorithm>
#include <cassert>
#include <iterator>

namespace handlot::schedule {

ShopHours::ShopHours(const std::vector<plan::Interval>& hours, Instant start) {
  for (const plan::Interval& interval : hours) {
    const OpenSpan span{std::max<Time>(0, (interval.open - start).seconds), (interval.close - start).seconds};
    if (span.close <= span.open) continue;
    if (!spans_.empty() && span.open <= spans_.back().close) {
      total_ += std::max<Time>(0, span.close - spans_.back().close);
      spans_.back().close = std::max(spans_.back().close, span.close);
      continue;
    }
    before_.push_back(total_);
    spans_.push_back(span);
    total_ += span.close - span.open;
  }
}

std::size_t ShopHours::span_at(Time t) const {
  const auto found = std::upper_bound(spans_.begin(), spans_.end(), t,
                                      [](Time value, const OpenSpan& span) { return value < span.close; });
  return static_cast<std::size_t>(found - spans_.begin());
}

Time ShopHours::worked_before(Time t) const {
  const std::size_t i = span_at(t);
  if (i == spans_.size()) return total_;
  return before_[i] + std::max<Time>(0, t - spans_[i].open);
}

Time ShopHours::moment_of(Time worked) const {
  if (worked <= 0) return spans_.empty() ? kNever : spans_.front().open;
  if (worked > total_) return kNever;
  // The span in which that second of work is done.
  const auto next = std::lower_bound(before_.begin(), before_.end(), worked);
  const auto i = static_cast<std::size_t>(next - before_.begin()) - 1;
  return spans_[i].open + (worked - before_[i]);
}

Time ShopHours::start_from(Time from, Time length, bool may_pause) const {
  from = std::max<Time>(from, 0);
  if (length <= 0) return from;
  for (std::size_t i = span_at(from); i < spans_.size(); ++i) {
    const Time start = std::max(from, spans_[i].open);
    if (may_pause) return worked_before(start) + length <= total_ ? start : kNever;
    if (start + length <= spans_[i].close) return start;
  }
  return kNever;
}

Time ShopHours::start_until(Time until, Time length, bool may_pause) const {
  if (until < 0) return -1;
  if (length <= 0) return until;
  if (may_pause) {
    // Enough work must be left after the start.
    const Time last = total_ - length;
    if (last < 0) return -1;
    const Time by_work = last == total_ ? kNever : moment_of(last + 1) - 1;
    until = std::min(until, by_work);
  }
  const Time needed = may_pause ? 1 : length;
  for (std::size_t i = std::min(span_at(until) + 1, spans_.size()); i-- > 0;) {
    const Time start = std::min(until, spans_[i].close - needed);
    if (start >= spans_[i].open) return start;
  }
  return -1;
}

Time ShopHours::end_of(Time start, Time length, bool may_pause) const {
  if (length <= 0 || !may_pause) return start + std::max<Time>(length, 0);
  return moment_of(worked_before(start) + length);
}

Time ShopHours::start_for_end(Time end, Time length, bool may_pause) const {
  if (length <= 0) return end < 0 ? -1 : end;
  if (!may_pause) return start_until(end - length, length, false);
  const Time last = worked_before(end) - length;
  if (last < 0) return -1;
  // Every start with at most `last` seconds of work before it is early enough.
  return start_until(moment_of(last + 1) - 1, length, true);
}

Time ShopHours::attended_from(Time from) const {
  if (spans_.empty()) return from;
  const auto span = std::lower_bound(spans_.begin(), spans_.end(), from, [](const OpenSpan& s, Time t) { return s.close < t; });
  return span == spans_.end() ? kNever : std::max(from, span->open);
}

Time ShopHours::attended_until(Time until) const {
  if (spans_.empty()) return until;
  const auto past = std::upper_bound(spans_.begin(), spans_.end(), until, [](Time t, const OpenSpan& s) { return t < s.open; });
  return past == spans_.begin() ? -1 : std::min(until, std::prev(past)->close);
}

Time ShopHours::open_between(Time from, Time to) const {
  return to <= from ? 0 : worked_before(to) - worked_before(from);
}

Time ShopHours::longest_span() const {
  Time longest = 0;
  for (const OpenSpan& span : spans_) longest = std::max(longest, span.close - span.open);
  return longest;
}

}  // namespace handlot::schedule
