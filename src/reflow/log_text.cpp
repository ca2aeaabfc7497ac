#include "reflow/log_text.h"
#include "core/encoding.h"
#include "core/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstring>

namespace handlot::reflow::text {

namespace {

bool digit(char c) {
  return c >= '0' && c <= '9';
}

}  // namespace

Result<std::string> as_utf8(std::string_view bytes, std::string_view file) {
  const Place place{std::string(file), 0, 0};
  if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
  std::string text = from_utf16(bytes);
  if (text.find_first_not_of(" \t\r\n") == std::string::npos) {
    return fail(error("log-empty", place, "the log is empty", "export it again from the logger"));
  }
  if (text.find('\0') != std::string::npos) {
    return fail(error("log-not-text", place, "this is not a text log (it holds zero bytes)",
                      "export the log as text (CSV) from the logger's program"));
  }
  return text;
}

namespace {

/// True where a field that a quote opens is not closed: its cell goes on in the next line. A quote within a field is none.
bool ends_within_quotes(std::string_view line) {
  bool within = false;
  for (std::size_t i = line.find('"'); i != std::string_view::npos; i = line.find('"', i + 1)) {
    const std::string_view before = trimmed(line.substr(0, i));
    const bool opens = before.empty() || std::string_view(",;|").find(before.back()) != std::string_view::npos || (i > 0 && line[i - 1] == '\t');
    if (within || opens) within = !within;
  }
  return within;
}

/// Joins a cell's lines: the first of them becomes the whole row, the others are empty, so that lines keep their numbers.
void join_quoted(std::vector<std::string_view>& lines) {
  constexpr std::size_t kMost = 4;  // lines of a head; a quote that stays open longer is a stray one
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (lines[i].find('"') == std::string_view::npos || !ends_within_quotes(lines[i])) continue;
    for (std::size_t k = i + 1; k < lines.size() && k < i + kMost; ++k) {
      const std::string_view whole(lines[i].data(), static_cast<std::size_t>(lines[k].data() - lines[i].data()) + lines[k].size());
      if (ends_within_quotes(whole)) continue;
      lines[i] = whole;
      std::fill(lines.begin() + static_cast<std::ptrdiff_t>(i) + 1, lines.begin() + static_cast<std::ptrdiff_t>(k) + 1, std::string_view());
      i = k;
      break;
    }
  }
}

}  // namespace

std::vector<std::string_view> lines_of(std::string_view text) {
  std::vector<std::string_view> lines;
  const char end = text.find('\n') != std::string_view::npos ? '\n' : '\r';
  std::size_t at = 0;
  while (at < text.size()) {
    const void* found = std::memchr(text.data() + at, end, text.size() - at);
    const std::size_t stop =
        found ? static_cast<std::size_t>(static_cast<const char*>(found) - text.data()) : text.size();
    std::string_view line = text.substr(at, stop - at);
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    lines.push_back(line);
    at = stop + 1;
  }
  join_quoted(lines);
  return lines;
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
  while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.remove_suffix(1);
  return text;
}

namespace {

void split_blanks(std::string_view line, std::vector<std::string_view>& fields) {
  std::size_t i = 0;
  while (i < line.size()) {
    while (i < line.size() && (line[i] == ' ' || line[i] == '\t')) ++i;
    if (i == line.size()) break;
    if (line[i] == '"') {
      const std::size_t close = std::min(line.find('"', i + 1), line.size());
      fields.push_back(line.substr(i + 1, close - i - 1));
      i = close + 1;
      continue;
    }
    const std::size_t start = i;
    while (i < line.size() && line[i] != ' ' && line[i] != '\t') ++i;
    fields.push_back(line.substr(start, i - start));
  }
}

}  // namespace

void split(std::string_view line, char delimiter, std::vector<std::string_view>& fields) {
  fields.clear();
  if (delimiter == ' ') return split_blanks(line, fields);
  std::size_t at = 0;
  while (true) {
    std::string_view rest = line.substr(at);
    const std::size_t blank = rest.find_first_not_of(" \t");
    if (blank != std::string_view::npos && rest[blank] == '"') {
      const std::size_t close = rest.find('"', blank + 1);
      if (close != std::string_view::npos) {
        fields.push_back(trimmed(rest.substr(blank + 1, close - blank - 1)));
        const std::size_t next = rest.find(delimiter, close);
        if (next == std::string_view::npos) return;
        at += next + 1;
        continue;
      }
    }
    const std::size_t next = rest.find(delimiter);
    fields.push_back(trimmed(rest.substr(0, next)));
    if (next == std::string_view::npos) return;
    at += next + 1;
  }
}

namespace {

/// Reads the number at the front of `field`; returns how many characters it took, 0 if there is none.
std::size_t leading_number(std::string_view field, char decimal, double& value) {
  if (field.empty()) return 0;
  std::size_t sign = field.front() == '+' ? 1 : 0;
  std::string_view body = field.substr(sign);
  if (body.empty() || !(digit(body.front()) || body.front() == '-' || body.front() == decimal)) return 0;
  if (sign == 1 && body.front() == '-') return 0;
  std::array<char, 48> copy{};
  if (decimal != '.') {
    if (body.size() > copy.size()) body = body.substr(0, copy.size());
    std::size_t marks = 0;
    for (std::size_t i = 0; i < body.size(); ++i) {
      // A point is foreign here: it ends the number.
      if (body[i] == '.') {
        body = body.substr(0, i);
        break;
      }
      copy[i] = body[i] == decimal && marks++ == 0 ? '.' : body[i];
    }
    body = std::string_view(copy.data(), body.size());
  }
  const auto [end, problem] = std::from_chars(body.data(), body.data() + body.size(), value);
  if (problem != std::errc() || !std::isfinite(value)) return 0;
  const auto used = static_cast<std::size_t>(end - body.data());
  if (body[used - 1] == '.') return 0;  // "25." or "25," is cut off or a list, not a number
  return sign + used;
}

}  // namespace

bool figure(std::string_view field, char decimal, double& value) {
  return !field.empty() && leading_number(field, decimal, value) == field.size();
}

bool number_with_suffix(std::string_view field, char decimal, double& value, std::string_view& suffix) {
  const std::size_t used = leading_number(field, decimal, value);
  if (used == 0) return false;
  suffix = trimmed(field.substr(used));
  return suffix.empty() || time_unit(suffix) || temperature_unit(suffix);
}

std::optional<Token> token(std::string_view field) {
  static constexpr std::array<std::string_view, 14> kOpen{
      "open",         "oc",        "open tc", "tc open", "open_tc", "opentc", "open circuit",
      "disconnected", "unplugged", "burnout", "fault",   "err",     "error",  "no tc"};
  static constexpr std::array<std::string_view, 19> kRange{
      "ol",    "o.l",       "o.l.",       "+ol",   "-ol",        "over",         "+over",
      "-over", "overrange", "over range", "under", "underrange", "out of range", "inf",
      "+inf",  "-inf",      "ovf",        "hi",    "lo"};
  static constexpr std::array<std::string_view, 13> kNone{
      "", "nan", "-nan", "null", "none", "n/a", "na", "#n/a", "no data", "nodata", "missing", "?", "x"};
  const std::string word = lower(trimmed(field));
  const auto among = [&](const auto& list) {
    return std::find(list.begin(), list.end(), word) != list.end();
  };
  if (among(kNone)) return Token::no_data;
  if (among(kOpen)) return Token::open;
  if (among(kRange)) return Token::out_of_range;
  if (word.find_first_not_of('-') == std::string::npos) return Token::no_data;
  if (word.find_first_not_of('*') == std::string::npos || word.find_first_not_of('#') == std::string::npos) {
    return Token::out_of_range;
  }
  return std::nullopt;
}

std::optional<TimeUnit> time_unit(std::string_view word) {
  const std::string w = lower(trimmed(word));
  for (const char* s : {"s", "sec", "secs", "second", "seconds"})
    if (w == s) return TimeUnit::seconds;
  for (const char* s : {"ms", "msec", "millis", "millisecond", "milliseconds"})
    if (w == s) return TimeUnit::milliseconds;
  for (const char* s : {"min", "mins", "minute", "minutes"})
    if (w == s) return TimeUnit::minutes;
  for (const char* s : {"h", "hr", "hrs", "hour", "hours"})
    if (w == s) return TimeUnit::hours;
  for (const char* s : {"day", "days"})
    if (w == s) return TimeUnit::days;
  return std::nullopt;
}

double seconds_per(TimeUnit unit) {
  switch (unit) {
    case TimeUnit::milliseconds:
      return 1e-3;
    case TimeUnit::seconds:
      return 1;
    case TimeUnit::minutes:
      return 60;
    case TimeUnit::hours:
      return 3600;
    case TimeUnit::days:
      return 86400;
  }
  return 1;
}

std::optional<TemperatureUnit> temperature_unit(std::string_view word) {
  std::string w;
  for (const char c : lower(trimmed(word))) {
    // Degree signs in UTF-8, Latin-1, twice encoded, and the masculine ordinal that stands for one.
    if (static_cast<unsigned char>(c) >= 0x80 || c == ' ' || c == '.' || c == '_') continue;
    w += c;
  }
  for (const char* s : {"c", "degc", "degreesc", "celsius", "degcelsius", "centigrade"}) {
    if (w == s) return TemperatureUnit::celsius;
  }
  for (const char* s : {"f", "degf", "degreesf", "fahrenheit", "degfahrenheit"}) {
    if (w == s) return TemperatureUnit::fahrenheit;
  }
  for (const char* s : {"k", "degk", "kelvin"}) {
    if (w == s) return TemperatureUnit::kelvin;
  }
  return std::nullopt;
}

Heading heading(std::string_view raw) {
  std::string one_line(trimmed(raw));
  std::replace_if(one_line.begin(), one_line.end(), [](char c) { return c == '\n' || c == '\r'; }, ' ');
  Heading h{one_line, one_line, ""};
  const std::string_view all = h.raw;
  if (!all.empty() && (all.back() == ')' || all.back() == ']')) {
    const std::size_t open = all.find_last_of("([");
    if (open != std::string_view::npos) {
      h.unit = std::string(trimmed(all.substr(open + 1, all.size() - open - 2)));
      h.name = std::string(trimmed(all.substr(0, open)));
      return h;
    }
  }
  const std::size_t mark = all.find_last_of("_/ ,;-");
  if (mark == std::string_view::npos || mark + 1 >= all.size()) return h;
  const std::string_view last = all.substr(mark + 1);
  if (time_unit(last) || temperature_unit(last) || last == "%" || last == "W") {
    h.unit = std::string(last);
    h.name = std::string(trimmed(all.substr(0, mark)));
    // "Temp deg C": the degree word belongs to the unit.
    for (const char* degree : {" deg", "_deg", " degrees"}) {
      if (lower(h.name).ends_with(degree)) h.name.resize(h.name.size() - std::strlen(degree));
    }
  }
  return h;
}

}  // namespace handlot::reflow::text
