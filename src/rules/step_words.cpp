#include "rules/step_words.h"

#include <algorithm>
#include <cctype>

#include "core/text.h"

namespace handlot::rules {

std::string step_words(const job::Step& step) {
  std::string text = lower(step.title);
  for (const std::string& action : step.actions) text += " " + lower(action);
  return text;
}

std::vector<std::string> step_lines(const job::Step& step) {
  std::vector<std::string> lines{lower(step.title)};
  for (const std::string& action : step.actions) lines.push_back(lower(action));
  return lines;
}

std::string check_words(const job::Step& step) {
  std::string text;
  for (const job::CheckLine& check : step.checks) text += " " + lower(check.what);
  return text;
}

bool says_one_of(std::span<const std::string_view> words, std::string_view text) {
  return std::any_of(words.begin(), words.end(), [&](std::string_view w) { return text.find(w) != std::string_view::npos; });
}

bool said_to_follow(const job::Step& step, const job::Step& other) {
  return std::any_of(step.after.begin(), step.after.end(), [&](const job::After& a) { return a.step == other.id; });
}

bool says_word(std::string_view word, std::string_view text) {
  const auto letter = [&](std::size_t at) { return at < text.size() && std::isalnum(static_cast<unsigned char>(text[at])) != 0; };
  for (std::size_t at = text.find(word); at != std::string_view::npos; at = text.find(word, at + 1)) {
    if (!letter(at + word.size()) && (at == 0 || !letter(at - 1))) return true;
  }
  return false;
}

bool says_one_word(std::span<const std::string_view> words, std::string_view text) {
  return std::any_of(words.begin(), words.end(), [&](std::string_view w) { return says_word(w, text); });
}

}  // namespace handlot::rules
