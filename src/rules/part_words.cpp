#include "rules/part_words.h"

#include <algorithm>
#include <vector>

#include "core/text.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

std::string both_names(const Facts& facts, const PartId& part) {
  const job::Part* named = facts.job.part(part);
  return named == nullptr ? "" : lower(called(*named) + " ; " + facts.card(named->card).name);
}

bool says_noun(std::string_view noun, std::string_view text) {
  constexpr std::size_t kShort = 3;  // "gas" is no plural
  std::vector<std::string> ones{std::string(noun)};
  const auto without = [&](std::string_view ending, std::string_view instead = "") {
    if (noun.size() > kShort && noun.ends_with(ending)) ones.push_back(std::string(noun.substr(0, noun.size() - ending.size())).append(instead));
  };
  if (!noun.ends_with("ss")) without("s");
  without("es");
  without("ies", "y");
  return std::any_of(ones.begin(), ones.end(), [&](const std::string& one) {
    const bool y = one.size() > kShort && one.ends_with("y");
    return says_word(one, text) || says_word(one + "s", text) || says_word(one + "es", text) || (y && says_word(one.substr(0, one.size() - 1) + "ies", text));
  });
}

bool names_part(const Facts& facts, std::string_view words, const PartId& part) {
  const job::Part* p = facts.job.part(part);
  const job::Assembly* whole = facts.job.assembly(part);
  const std::string name = lower(p != nullptr ? called(*p) : whole != nullptr ? whole->name : "");
  if (name.empty()) return false;
  const std::size_t blank = name.rfind(' ');
  return says_noun(name, words) || (blank != std::string::npos && says_noun(std::string_view(name).substr(blank + 1), words));
}

}  // namespace handlot::rules
