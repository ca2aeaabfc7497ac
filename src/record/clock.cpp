#include "record/clock.h"

#include <unistd.h>
#include <algorithm>
#include <chrono>
#include <cmath>
#include <ctime>
#include <fstream>

#include <fmt/format.h>

namespace handlot::record {
namespace {

std::int64_t milliseconds(clockid_t clock) {
  timespec t{};
  if (clock_gettime(clock, &t) != 0) return 0;
  return static_cast<std::int64_t>(t.tv_sec) * 1000 + t.tv_nsec / 1'000'000;
}

std::string boot_id() {
  std::ifstream in("/proc/sys/kernel/random/boot_id");
  std::string id;
  if (in >> id) return id;
  return fmt::format("process-{}-{}", getpid(), milliseconds(CLOCK_REALTIME));
}

}  // namespace

ClockReading read_clock() {
  static const std::string boot = boot_id();
#ifdef CLOCK_BOOTTIME
  const auto since_boot = milliseconds(CLOCK_BOOTTIME);
#else
  const auto since_boot = milliseconds(CLOCK_MONOTONIC);
#endif
  return {boot, since_boot, milliseconds(CLOCK_REALTIME)};
}

Chain::Next Chain::follow(const ClockReading& now) {
  Stamp at{now.boot, now.boot_ms, 0, now.wall_ms};
  if (!last_) {
    last_ = anchor_ = at;
    return {at, std::nullopt};
  }
  const bool same_boot = now.boot == last_->boot;
  const std::int64_t went_by = same_boot ? std::max<std::int64_t>(0, now.boot_ms - last_->boot_ms) : 0;
  at.ran_ms = last_->ran_ms + went_by;
  last_ = at;
  const std::int64_t stray = (at.wall_ms - anchor_->wall_ms) - (at.ran_ms - anchor_->ran_ms);
  if (std::abs(stray) < kStrayMs) return {at, std::nullopt};
  anchor_ = at;
  return {at, static_cast<double>(stray) / 1000.0};
}

Elapsed elapsed(const Moment& from, const Moment& to, std::span<const Gap> gaps) {
  const auto proven = static_cast<double>(to.ran_ms - to.kept_ms - from.ran_ms) / 1000.0;
  const auto kept = static_cast<double>(from.kept_ms) / 1000.0;
  Elapsed out{proven + (to.kept_ms > 0 ? kept : 0), proven + kept};
  double open = 0;
  for (const Gap& gap : gaps) {
    if (gap.seq <= from.seq || gap.seq > to.seq) continue;
    if (gap.settled) {
      out.least_s += gap.least_s;
      out.most_s += gap.most_s;
    } else {
      open += gap.claimed_s;
    }
  }
  out.most_s = std::max(out.most_s, out.least_s) + std::max(0.0, open);
  return {std::max(0.0, out.least_s), std::max(0.0, out.most_s)};
}

std::optional<double> open_claim(std::span<const Gap> gaps) {
  double sum = 0;
  for (const Gap& gap : gaps)
    if (!gap.settled) sum += gap.claimed_s;
  if (sum < kAskFromSeconds) return std::nullopt;
  return sum;
}

void settle(std::vector<Gap>& gaps, double seconds) {
  const double whole = std::max(0.0, seconds);
  Gap* first = nullptr;
  Gap* last = nullptr;
  for (Gap& gap : gaps) {
    if (gap.settled) continue;
    if (!first) first = &gap;
    last = &gap;
    gap.settled = true;
  }
  if (first) first->least_s = whole;
  if (last) last->most_s = whole;
}

}  // namespace handlot::record
