// Clocks and dates as loggers write them.
#include <array>
#include <charconv>

#include "reflow/log_text.h"
#include "core/text.h"

namespace handlot::reflow::text {

namespace {

bool digits_only(std::string_view text) {
  return !text.empty() && text.find_first_not_of("0123456789") == std::string_view::npos;
}

std::optional<int> small_number(std::string_view text) {
  if (!digits_only(text) || text.size() > 4) return std::nullopt;
  int value = 0;
  std::from_chars(text.data(), text.data() + text.size(), value);
  return value;
}

/// "12:00:05", "12:00:05.250", "59:30,5"; hours may exceed 24 (a stopwatch).
bool plain_clock(std::string_view text, Clock& out) {
  std::array<double, 3> parts{};
  int count = 0;
  while (count < 3) {
    const std::size_t colon = text.find(':');
    const std::string_view part = text.substr(0, colon);
    const bool last = colon == std::string_view::npos;
    double value = 0;
    const char decimal = part.find(',') != std::string_view::npos ? ',' : '.';
    if (part.empty() || part.front() == '-' || part.front() == '+' || !figure(part, decimal, value))
      return false;
    if (!last && !digits_only(part)) return false;
    if (count > 0 && value >= 60) return false;
    parts[static_cast<std::size_t>(count++)] = value;
    if (last) break;
    text.remove_prefix(colon + 1);
    if (count == 3) return false;
  }
  if (count < 2) return false;
  out.parts = count;
  out.seconds = count == 3 ? parts[0] * 3600 + parts[1] * 60 + parts[2] : parts[0] * 60 + parts[1];
  return true;
}

long days_from_civil(int y, int m, int d) {
  y -= m <= 2;
  const int era = (y >= 0 ? y : y - 399) / 400;
  const int yoe = y - era * 400;
  const int doy = (153 * (m + (m > 2 ? -3 : 9)) + 2) / 5 + d - 1;
  const int doe = yoe * 365 + yoe / 4 - yoe / 100 + doy;
  return static_cast<long>(era) * 146097 + doe - 719468;
}

/// Takes "+01:00", "Z" and the like off the end of a clock.
std::string_view without_zone(std::string_view text) {
  if (!text.empty() && (text.back() == 'Z' || text.back() == 'z')) return text.substr(0, text.size() - 1);
  const std::size_t sign = text.find_last_of("+-");
  if (sign != std::string_view::npos && sign > 4) return text.substr(0, sign);
  return text;
}

}  // namespace

std::optional<long> iso_day(std::string_view date) {
  if (date.size() != 10 || (date[4] != '-' && date[4] != '/') || date[7] != date[4]) return std::nullopt;
  const auto y = small_number(date.substr(0, 4));
  const auto m = small_number(date.substr(5, 2));
  const auto d = small_number(date.substr(8, 2));
  if (!y || !m || !d || *m < 1 || *m > 12 || *d < 1 || *d > 31) return std::nullopt;
  return days_from_civil(*y, *m, *d);
}

bool is_date(std::string_view field) {
  if (iso_day(field)) return true;
  for (const char mark : {'/', '-', '.'}) {
    const std::size_t one = field.find(mark);
    if (one == std::string_view::npos) continue;
    const std::size_t two = field.find(mark, one + 1);
    if (two == std::string_view::npos || field.find(mark, two + 1) != std::string_view::npos) continue;
    const std::string_view year = field.substr(two + 1);
    if (digits_only(field.substr(0, one)) && digits_only(field.substr(one + 1, two - one - 1)) &&
        digits_only(year) && one <= 2 && two - one <= 3 && (year.size() == 4 || year.size() == 2)) {
      return true;
    }
  }
  return false;
}

std::optional<Clock> clock(std::string_view field) {
  if (field.find(':') == std::string_view::npos) return std::nullopt;
  Clock out;
  bool found = false;
  std::optional<bool> afternoon;
  while (!field.empty()) {
    std::size_t stop = field.find(' ');
    // The T of an ISO date stands between two digits.
    if (stop == std::string_view::npos && field.size() > 11 && (field[10] == 'T' || field[10] == 't'))
      stop = 10;
    if (stop != std::string_view::npos && stop > 11 && field.size() > 11 &&
        (field[10] == 'T' || field[10] == 't'))
      stop = 10;
    const std::string_view part = field.substr(0, stop);
    field = stop == std::string_view::npos ? std::string_view() : trimmed(field.substr(stop + 1));
    const std::string word = lower(part);
    if (word == "am" || word == "pm") {
      afternoon = word == "pm";
    } else if (!found && part.find(':') != std::string_view::npos) {
      std::string_view plain = part;
      if (word.ends_with("am") || word.ends_with("pm")) {
        afternoon = word.ends_with("pm");
        plain.remove_suffix(2);
      }
      if (!plain_clock(without_zone(plain), out)) return std::nullopt;
      found = true;
    } else if (out.date.empty() && is_date(part)) {
      out.date = part;
      out.day = iso_day(part);
    } else {
      return std::nullopt;
    }
  }
  if (!found) return std::nullopt;
  if (afternoon) {
    if (out.seconds >= 13 * 3600.0) return std::nullopt;
    const bool twelve = out.seconds >= 12 * 3600.0;
    out.seconds += *afternoon ? (twelve ? 0 : 43200) : (twelve ? -43200 : 0);
  }
  return out;
}

}  // namespace handlot::reflow::text
