#include "solder/value.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "core/text.h"

namespace handlot::solder {

namespace {

bool digit(char c) { return c >= '0' && c <= '9'; }

/// "R", "C" or "L"; 0 for other parts ("RN1", "FB2", "U1").
char kind_of(std::string_view ref) {
  const bool known = ref.size() > 1 && digit(ref[1]) && (ref[0] == 'R' || ref[0] == 'C' || ref[0] == 'L');
  return known ? ref[0] : '\0';
}

/// Greek letters as u and R; the comma as a point.
std::string plain(std::string_view text) {
  constexpr std::array kLetters{std::pair{std::string_view("\xC2\xB5"), 'u'}, std::pair{std::string_view("\xCE\xBC"), 'u'}, std::pair{std::string_view("\xCE\xA9"), 'R'}, std::pair{std::string_view("\xE2\x84\xA6"), 'R'}};
  std::string out;
  while (!text.empty()) {
    const auto greek = std::find_if(kLetters.begin(), kLetters.end(), [&](const auto& l) { return text.starts_with(l.first); });
    out += greek != kLetters.end() ? greek->second : text.front() == ',' && text.size() > 1 && digit(text[1]) ? '.' : text.front();
    text.remove_prefix(greek != kLetters.end() ? greek->first.size() : 1);
  }
  return out;
}

/// The factors that letters after a number may mean; none where they are no unit of this kind. "10m" and "10M" are told apart
/// by few people, so both are both.
std::vector<double> factors(char kind, std::string_view letters) {
  std::string word = lower(letters);
  if (kind == 'R') {
    for (const std::string_view unit : {"ohms", "ohm", "r", "e"}) {
      if (word.ends_with(unit)) {
        word.resize(word.size() - unit.size());
        break;
      }
    }
    if (word.empty()) return {1};
    if (word == "k") return {1e3};
    if (word == "meg") return {1e6};
    if (word == "m") return {1e-3, 1e6};
    return {};
  }
  if (kind == 'C' && word == "mfd") return {1e-6};
  if (word.ends_with(kind == 'C' ? 'f' : 'h')) word.pop_back();
  if (word == "p") return {1e-12};
  if (word == "n") return {1e-9};
  if (word == "u") return {1e-6};
  if (word == "m") return kind == 'C' ? std::vector<double>{1e-3, 1e-6} : std::vector<double>{1e-3};
  return word.empty() && !letters.empty() ? std::vector<double>{1} : std::vector<double>{};
}

std::optional<double> number_of(std::string_view digits) {
  double value = 0;
  const auto [end, code] = std::from_chars(digits.data(), digits.data() + digits.size(), value, std::chars_format::fixed);
  if (code != std::errc() || end != digits.data() + digits.size()) return std::nullopt;
  return value;
}

/// "103" is ten thousand by its code, "1002" too.
std::vector<double> bare_ohms(std::string_view digits, double value) {
  std::vector<double> all{value};
  if ((digits.size() == 3 || digits.size() == 4) && digits.find('.') == std::string_view::npos) {
    if (const auto front = number_of(digits.substr(0, digits.size() - 1))) all.push_back(*front * std::pow(10.0, digits.back() - '0'));
  }
  return all;
}

/// One word: "4700", "4.7k", "4k7", "R47".
std::vector<double> of_word(char kind, std::string_view word, bool alone) {
  const auto first = std::find_if_not(word.begin(), word.end(), [](char c) { return digit(c) || c == '.'; });
  const auto letters_end = std::find_if(first, word.end(), [](char c) { return digit(c) || c == '.'; });
  const std::string before(word.begin(), first), letters(first, letters_end), after(letters_end, word.end());
  if (before.empty() && after.empty()) return {};
  if (letters.empty()) {
    const auto value = number_of(before);
    return kind == 'R' && alone && value ? bare_ohms(before, *value) : std::vector<double>{};
  }
  const bool code = !after.empty();
  if (code && (letters.size() != 1 || before.find('.') != std::string::npos || after.find('.') != std::string::npos)) return {};
  const auto value = number_of(code ? (before.empty() ? "0" : before) + "." + after : before);
  if (!value) return {};
  std::vector<double> all = factors(kind, letters);
  for (double& factor : all) factor *= *value;
  return all;
}

/// All that the spelling may mean; nothing where it can't be read. What follows the value (tolerance, voltage, size) is left.
std::vector<double> readings(char kind, std::string_view raw) {
  const std::string text = plain(raw);
  constexpr std::string_view kEnds = " /;_-,(@\xC2";
  std::vector<std::string> words;
  for (std::size_t at = 0; at < text.size() && words.size() < 3;) {
    const std::size_t end = std::min(text.find_first_of(kEnds, at), text.size());
    if (end > at) words.push_back(text.substr(at, end - at));
    else if (text[at] != ' ') break;
    at = end + 1;
    if (end < text.size() && text[end] != ' ') break;
  }
  if (words.empty()) return {};
  const bool bare = std::all_of(words[0].begin(), words[0].end(), [](char c) { return digit(c) || c == '.'; });
  const bool unit_follows = bare && words.size() > 1 && !factors(kind, words[1]).empty();
  return unit_follows ? of_word(kind, words[0] + words[1], true) : of_word(kind, words[0], words[0].size() == text.size());
}

}  // namespace

bool values_differ(std::string_view ref, std::string_view a, std::string_view b) {
  const char kind = kind_of(ref);
  if (kind == '\0') return false;
  const auto one = readings(kind, a), other = readings(kind, b);
  constexpr double kSame = 1e-6;  // of the value: what is lost in reading
  const auto met = [&](double x) { return std::any_of(other.begin(), other.end(), [&](double y) { return std::abs(x - y) <= kSame * std::max(x, y); }); };
  return !one.empty() && !other.empty() && std::none_of(one.begin(), one.end(), met);
}

}  // namespace handlot::solder
