#include "core/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace handlot {

namespace {

/// Edit distance with swapped neighbours counting one (optimal string alignment).
std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::vector<std::size_t>> d(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) d[i][0] = i;
  for (std::size_t j = 0; j <= b.size(); ++j) d[0][j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t change = a[i - 1] == b[j - 1] ? 0 : 1;
      d[i][j] = std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + change});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
      }
    }
  }
  return d[a.size()][b.size()];
}

}  // namespace

std::optional<std::string> closest(std::string_view wrong, std::span<const std::string> known) {
  constexpr std::size_t kLongestWord = 64;  // longer input is noise, and the distance is quadratic
  if (wrong.empty() || wrong.size() > kLongestWord) return std::nullopt;
  std::optional<std::string> best;
  std::size_t best_distance = std::max<std::size_t>(1, wrong.size() / 3) + 1;
  for (const std::string& word : known) {
    if (word.size() > kLongestWord) continue;
    const std::size_t distance = edit_distance(wrong, word);
    if (distance < best_distance) {
      best = word;
      best_distance = distance;
    }
  }
  return best;
}

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return out;
}

std::string listed(std::span<const std::string> words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) text += i + 1 == words.size() ? " and " : ", ";
    text += words[i];
  }
  return text;
}

std::string in_words(Duration duration) {
  if (duration.seconds < 0) return "-" + in_words(-duration);
  const std::array<std::pair<std::int64_t, const char*>, 4> units{{{86400, "d"}, {3600, "h"}, {60, "min"}, {1, "s"}}};
  std::string text;
  std::int64_t rest = duration.seconds;
  int shown = 0;
  for (const auto& [size, name] : units) {
    const std::int64_t count = rest / size;
    if (count == 0) {
      if (shown > 0) break;
      continue;
    }
    text += fmt::format("{}{} {}", shown > 0 ? " " : "", count, name);
    rest -= count * size;
    if (++shown == 2) break;
  }
  return text.empty() ? "0 s" : text;
}

std::string number(double value, int decimals) {
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (text.find('.') != std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
  }
  return text == "-0" ? "0" : text;
}

std::string counted(long count, std::string_view one, std::string_view many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

}  // namespace handlot
