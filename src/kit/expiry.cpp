#include "kit/expiry.h"

#include <fmt/format.h>

#include <array>
#include <optional>
#include <string_view>
#include <vector>

#include "calendar/date.h"
#include "core/text.h"
#include "input/csv.h"

namespace handlot::kit {

namespace {

/// The runs of digits and of letters in a text, in their order: "31-Dec-2025" is 31, dec, 2025.
std::vector<std::string> runs_in(std::string_view text) {
  std::vector<std::string> out;
  const auto kind = [](char c) { return c >= '0' && c <= '9' ? 1 : c >= 'a' && c <= 'z' ? 2 : 0; };
  int last = 0;
  for (const char c : lower(text)) {
    const int now = kind(c);
    if (now != 0 && now != last) out.emplace_back();
    if (now != 0) out.back() += c;
    last = now;
  }
  return out;
}

/// By its English name, or the first three letters or more of it.
std::optional<int> month_named(const std::string& word) {
  constexpr std::array<std::string_view, 12> kMonths{"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"};
  for (std::size_t m = 0; m < kMonths.size(); ++m) {
    if (word.size() >= 3 && kMonths[m].starts_with(word)) return static_cast<int>(m) + 1;
  }
  return std::nullopt;
}

std::string if_it_exists(const calendar::Date& date) { return calendar::exists(date) ? calendar::iso(date) : std::string(); }

/// A month's things are good to its last day: common practice, no source.
std::string last_of(int year, int month) {
  const calendar::Date next = month == 12 ? calendar::Date{year + 1, 1, 1} : calendar::Date{year, month + 1, 1};
  return month >= 1 && month <= 12 && calendar::exists(next) ? calendar::iso(calendar::plus_days(next, -1)) : std::string();
}

/// Of two numbers beside a year one is the day: surely the one over twelve; the first where points part them, as where that is written
/// nobody puts the month first. Else nobody can tell "03/04" from "04/03".
std::string day_and_month(int year, int first, int second, bool points) {
  if (first == second || (second <= 12 && (points || first > 12))) return if_it_exists({year, second, first});
  return second > 12 && first <= 12 ? if_it_exists({year, first, second}) : std::string();
}

}  // namespace

std::string day_of(std::string text) {
  if (const auto clock = text.find_first_of("T ", 10); clock != std::string::npos && text.find(':', clock) != std::string::npos) text.erase(clock);
  const std::vector<std::string> runs = runs_in(text);
  const auto number = [&](std::size_t i) { return i < runs.size() && runs[i].size() <= 4 ? static_cast<int>(input::csv_number(runs[i]).value_or(-1)) : -1; };
  const auto is_year = [&](std::size_t i) { return runs[i].size() == 4 && number(i) >= calendar::kFirstYear; };
  const auto month = [&](std::size_t i) { return month_named(runs[i]); };
  if (runs.size() == 1 && runs[0].size() == 8) return day_of(fmt::format("{}-{}-{}", runs[0].substr(0, 4), runs[0].substr(4, 2), runs[0].substr(6)));
  if (runs.size() == 2 && is_year(0)) return last_of(number(0), month(1).value_or(number(1)));
  if (runs.size() == 2 && is_year(1)) return last_of(number(1), month(0).value_or(number(0)));
  if (runs.size() != 3) return "";
  if (is_year(0)) return if_it_exists({number(0), month(1).value_or(number(1)), number(2)});
  if (!is_year(2)) return "";
  if (const auto m = month(1)) return if_it_exists({number(2), *m, number(0)});
  if (const auto m = month(0)) return if_it_exists({number(2), *m, number(1)});
  return day_and_month(number(2), number(0), number(1), text.find('.') != std::string::npos);
}

}  // namespace handlot::kit
