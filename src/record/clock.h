// clock.h: the record's own clock. It counts only time that this machine has seen go by, so that nobody can
// end a cure by setting a clock, and it says how much more the wall clock claims.
//
//   proven time   |=========|             |==============>      ran_ms: goes on from where it stopped
//                           off, or jump
//   wall clock    |=========|~~~~~~~~~~~~~|==============>      the waved part is a gap: the machine's word
//   only
//
// A wait has begun and not ended yet:  least <= time gone by <= most.
//   "not before" asks `least`, "not after" asks `most`: each errs to the side that does no harm.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/quantity.h"
#include "record/event.h"

namespace handlot::record {

/// What the machine's clocks say at one moment.
struct ClockReading {
  std::string boot;          ///< changes at every start of the machine
  std::int64_t boot_ms = 0;  ///< since that start, suspended time counted; never set by anybody
  std::int64_t wall_ms = 0;  ///< since 1970, UTC; anybody may set it
};

/// Reads the clocks of this machine. Without a boot id (not Linux) every call of the first kind in a process
/// gets an id of its own, so that each restart of the program counts as a gap.
ClockReading read_clock();

/// Goes on counting from the last stamp of the record.
class Chain {
 public:
  Chain() = default;
  explicit Chain(Stamp last) : last_(last), anchor_(last) {}

  struct Next {
    Stamp at;
    std::optional<double> gap_s;  ///< the wall clock moved so much more (or less) than time went by
  };

  /// Units    gaps in seconds, negative when the wall clock went back.
  /// Returns  the stamp for `now`, and a gap once the wall clock has strayed by kStray or more.
  Next follow(const ClockReading& now);

  const std::optional<Stamp>& last() const { return last_; }

 private:
  std::optional<Stamp> last_;
  std::optional<Stamp> anchor_;  ///< the last stamp at which the two clocks were known to agree
};

/// Below this the two clocks are said to agree: time servers move a clock by less [practice].
inline constexpr std::int64_t kStrayMs = 2000;

/// A gap stands between two lines of the record.
struct Gap {
  std::int64_t seq = 0;      ///< of the line that tells of it
  std::int64_t ran_ms = 0;   ///< where it stands on the record's clock
  std::int64_t wall_ms = 0;  ///< what the wall clock said after it
  double claimed_s = 0;      ///< the wall clock's word, signed
  bool settled = false;
  double least_s = 0;  ///< once settled: for waits that began before it
  double most_s = 0;
  bool operator==(const Gap&) const = default;
};

struct Elapsed {
  double least_s = 0;
  double most_s = 0;
};

/// A point on the record's clock. `seq` orders it among the gaps; "now" has the largest. What was touched without a
/// connection came in here, and was touched `kept_ms` before, by the word of its screen.
struct Moment {
  std::int64_t seq = 0;
  std::int64_t ran_ms = 0;
  std::int64_t wall_ms = 0;
  std::int64_t kept_ms = 0;

  auto operator<=>(const Moment&) const = default;
};

/// When the touch was made that the moment came in with; those of one touch have the same.
inline std::int64_t touched_ms(const Moment& moment) { return moment.ran_ms - moment.kept_ms; }

/// Time gone by from one moment to a later one, never less than nothing. What began with a kept touch began, for "not
/// after", with the touch; for "not before" when it came in, unless the end was kept, too, and one screen saw both.
/// Given  from.seq <= to.seq.
Elapsed elapsed(const Moment& from, const Moment& to, std::span<const Gap> gaps);

/// Seconds that the open gaps claim together; what the builder is asked about. Nothing to ask: empty.
std::optional<double> open_claim(std::span<const Gap> gaps);

/// The builder's answer to it: all open gaps together were `seconds` long. For "not before" the time counts
/// at the first of them, for "not after" at the last, so that a wait begun between two gaps errs to the safe
/// side.
void settle(std::vector<Gap>& gaps, double seconds);

/// Gaps up to this sum are not worth a question.
inline constexpr double kAskFromSeconds = 60;

}  // namespace handlot::record
