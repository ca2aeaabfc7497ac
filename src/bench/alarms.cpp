#include "bench/alarms.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "bench/access.h"
#include "core/text.h"
#include "plan/opens.h"
#include "record/look.h"
#include "sheets/ics.h"

namespace handlot::bench {
namespace {

using record::Moment;
using record::Timer;
using sheets::CalendarEntry;

Instant from_now(const Moment& now, double seconds) {
  return Instant(now.wall_ms / 1000 + static_cast<std::int64_t>(std::ceil(seconds)));
}

/// Nobody is called to a shop that is shut for what can wait until it opens. What ran by itself is looked at when it ends, and
/// a latest end waits for nobody.
Instant rings_at(const plan::Plan& plan, const Timer& timer, Instant end) {
  return timer.to.empty() || timer.until_late_s ? end : plan::open_from(plan.work.hours, end);
}

/// A name that the same wait keeps, and that tells nothing of the shop.
std::string uid(const Timer& timer, const char* which) {
  return sha256_hex(timer.id + which).substr(0, 24) + "@bench.handlot";
}

std::string words(const Timer& timer) {
  std::string out;
  if (!timer.then.empty()) out += "Then: " + timer.then + ".";
  if (!timer.if_late.empty()) out += (out.empty() ? "" : "\n") + ("If late: " + timer.if_late + ".");
  return out;
}

}  // namespace

std::string alarms(const plan::Plan& plan, const record::State& state, const std::vector<Timer>& timers,
                   const Moment& now) {
  std::vector<CalendarEntry> entries;
  for (const Timer& timer : timers) {
    const std::string units = record::units_text(timer.units, state.lot);
    const std::string what = fmt::format("{}: {}, {}", plan.head.name, timer.what, units);
    if (timer.min_s > 0 && timer.until_ready_s > 0 && !timer.begun_by_some) {
      const Instant over = from_now(now, timer.until_ready_s), end = rings_at(plan, timer, over);
      entries.push_back({uid(timer, "ready"), what, words(timer), what + ": time is up",
                         over - Duration(std::llround(timer.min_s)), end, true});
    }
    if (timer.until_late_s && *timer.until_late_s > 0) {
      const Instant last = from_now(now, std::floor(*timer.until_late_s));
      const Duration warning(std::min<std::int64_t>(1800, std::llround(*timer.max_s / 4)));
      entries.push_back({uid(timer, "late"), "LATEST END, " + what, words(timer),
                         fmt::format("{}: last moment in {}", what, in_words(warning)),
                         last - warning, last, false});
    }
  }
  return sheets::calendar_of(entries, Instant(now.wall_ms / 1000), static_cast<int>(state.seq));
}

}  // namespace handlot::bench
