#include "pipeline/references.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <string_view>

#include "core/text.h"

namespace handlot::pipeline {

namespace {

constexpr std::string_view kDigits = "0123456789";

bool numbers_alone(std::string_view text) { return !text.empty() && text.find_first_not_of(kDigits) == std::string_view::npos; }

void replace_all(std::string& text, std::string_view what, std::string_view by) {
  for (auto at = text.find(what); at != std::string::npos; at = text.find(what, at + by.size())) text.replace(at, what.size(), by);
}

/// Every sign and word for a range as a dash, with no blanks about it.
std::string plain_dashes(std::string cell) {
  for (const std::string_view dash : {"\xE2\x80\x90", "\xE2\x80\x91", "\xE2\x80\x92", "\xE2\x80\x93", "\xE2\x80\x94", "\xE2\x88\x92", "\xE2\x80\xA6", "...", "..", "~", " to ", " TO ", " thru ", " through ", " bis "}) replace_all(cell, dash, "-");
  for (const std::string_view comma : {"\xEF\xBC\x8C", "\xE3\x80\x81", "\xEF\xBC\x9B"}) replace_all(cell, comma, ",");  // full-width, ideographic
  replace_all(cell, "\xC2\xA0", " ");
  for (const std::string_view wide : {" -", "- "}) {
    while (cell.find(wide) != std::string::npos) replace_all(cell, wide, "-");
  }
  return cell;
}

/// Whether the sign at `at` parts two references: "R1/R2", "R1+R2", "R1 + R2", but not the one of "V+" or "V+ R1".
bool parts(const std::string& cell, std::size_t at) {
  const char c = cell[at];
  if (std::string_view(" ,;\n\r\t").find(c) != std::string_view::npos) return true;
  if ((c != '/' && c != '+' && c != '&') || at + 1 >= cell.size()) return false;
  const bool alone = cell[at + 1] == ' ' && (c != '+' || at == 0 || cell[at - 1] == ' ');
  return alone || std::isalnum(static_cast<unsigned char>(cell[at + 1])) != 0;
}

std::vector<std::string> words_in(const std::string& cell) {
  std::vector<std::string> words{""};
  for (std::size_t i = 0; i < cell.size(); ++i) {
    if (!parts(cell, i)) words.back() += cell[i];
    else if (!words.back().empty()) words.emplace_back();
  }
  if (words.back().empty()) words.pop_back();
  std::erase_if(words, [](const std::string& word) { return word == "-" || lower(word) == "and"; });
  return words;
}

/// With the letters that people write once: "R1-9" as "R1-R9", and after an R "2" as "R2", "5-7" as "R5-R7".
std::string with_letters(const std::string& word, const std::string& letters) {
  const auto dash = word.find('-');
  std::string first = word.substr(0, dash);
  if (numbers_alone(first)) first = letters + first;
  if (dash == std::string::npos) return first;
  const auto digits = first.find_first_of(kDigits);
  const std::string last = word.substr(dash + 1);
  return first + "-" + (numbers_alone(last) && digits != std::string::npos ? first.substr(0, digits) : "") + last;
}

/// "R1:R3" as "R1-R3"; a colon between other words may be part of a name.
std::string with_dash(const std::string& word) {
  const auto colon = word.find(':');
  if (colon == std::string::npos || job::expand_reference(word.substr(0, colon)).empty() || job::expand_reference(word.substr(colon + 1)).empty()) return word;
  return word.substr(0, colon) + "-" + word.substr(colon + 1);
}

/// A range from either end.
std::vector<std::string> written_out(const std::string& word) {
  const auto dash = word.find('-');
  auto refs = job::expand_reference(word);
  return refs.empty() && dash != std::string::npos ? job::expand_reference(word.substr(dash + 1) + "-" + word.substr(0, dash)) : refs;
}

/// "R3-C1" and "R1-10k", but not "J-1": that may be a name.
bool looks_like_range(const std::string& word) {
  const auto dash = word.find('-');
  return dash != std::string::npos && job::expand_reference(word.substr(0, dash)).size() == 1;
}

}  // namespace

References references_in(std::string cell) {
  References found;
  std::string letters;  // of the last reference
  for (const std::string& raw : words_in(plain_dashes(std::move(cell)))) {
    const std::string word = with_letters(with_dash(raw), letters);
    const auto expanded = written_out(word);
    if (!expanded.empty()) letters = word.substr(0, word.find_first_of(kDigits));
    if (expanded.empty()) (looks_like_range(word) ? found.unread : found.refs).push_back(word);
    found.refs.insert(found.refs.end(), expanded.begin(), expanded.end());
  }
  return found;
}

std::string as_job_writes(const job::Job& job, const std::string& ref) {
  std::string otherwise;
  for (const job::Part& part : job.parts) {
    for (const std::string& own : part.refs) {
      if (own == ref) return ref;
      if (otherwise.empty() && lower(own) == lower(ref)) otherwise = own;
    }
  }
  return otherwise.empty() ? ref : otherwise;
}

std::string some_of(std::vector<std::string> words) {
  constexpr std::size_t kNamed = 12;
  const std::size_t more = words.size() - std::min(words.size(), kNamed);
  words.resize(words.size() - more);
  if (more > 0) words.push_back(fmt::format("{} more", more));
  return listed(words);
}

}  // namespace handlot::pipeline
