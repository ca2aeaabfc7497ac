#include "rules/step_words.h"

#include <algorithm>

#include "core/text.h"

namespace handlot::rules {

std::string step_words(const job::Step& step) {
  std::string text = lower(step.title);
  for (const std::string& action : step.actions) text += " " + lower(action);
  return text;
}

bool says_one_of(std::span<const std::string_view> words, std::string_view text) {
  return std::any_of(words.begin(), words.end(), [&](std::string_view w) { return text.find(w) != std::string_view::npos; });
}

}  // namespace handlot::rules
