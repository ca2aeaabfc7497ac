#include "rules/setting.h"

#include <array>
#include <string>
#include <utility>

namespace handlot::rules {

namespace {

using input::Dimension;

struct Spelling {
  Dimension dimension;
  std::string_view written;  ///< without spaces, points and dots between
  std::string_view unit;     ///< as job files have it
  double factor = 1;
};

constexpr std::array kSpellings{
    Spelling{Dimension::temperature, "°C", "degC"}, Spelling{Dimension::temperature, "℃", "degC"},   Spelling{Dimension::temperature, "ºC", "degC"},
    Spelling{Dimension::temperature, "C", "degC"},  Spelling{Dimension::temperature, "°F", "degF"},  Spelling{Dimension::temperature, "ºF", "degF"},
    Spelling{Dimension::temperature, "F", "degF"},  Spelling{Dimension::torque, "Nm", "Nm"},         Spelling{Dimension::torque, "Ncm", "Nm", 0.01},
    Spelling{Dimension::torque, "cNm", "Nm", 0.01}, Spelling{Dimension::torque, "mNm", "Nm", 0.001},
};

void drop(std::string& text, std::string_view what) {
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at)) text.erase(at, what.size());
}

/// The number and what follows it, up to a comma, a semicolon or a bracket; the unit without spaces and points.
std::pair<std::string, std::string> taken_apart(std::string_view text) {
  text = text.substr(0, text.find_first_of(",;("));
  const std::size_t begin = text.find_first_not_of(" \t");
  if (begin == std::string_view::npos) return {};
  const std::size_t end = text.find_first_not_of("+-.0123456789 ", begin);
  std::string number(text.substr(begin, end == std::string_view::npos ? end : end - begin));
  std::string unit(end == std::string_view::npos ? "" : text.substr(end));
  for (const std::string_view between : {" ", ".", "·", "*"}) drop(unit, between);
  return {number, unit};
}

bool begins_with_number(std::string_view text) {
  const std::size_t begin = text.find_first_not_of(" \t+-");
  return begin != std::string_view::npos && text[begin] >= '0' && text[begin] <= '9';
}

}  // namespace

std::optional<input::Amount> as_spelled(std::string_view text, Dimension dimension) {
  if (const auto read = input::read_amount(text.substr(0, text.find_first_of(",;(")), dimension, input::sensible(dimension))) return *read;
  const auto [number, unit] = taken_apart(text);
  for (const Spelling& spelling : kSpellings) {
    if (spelling.dimension != dimension || spelling.written != unit) continue;
    auto read = input::read_amount(number + " " + std::string(spelling.unit), dimension, input::sensible(dimension));
    if (!read) return std::nullopt;
    read->low *= spelling.factor;
    read->high *= spelling.factor;
    return *read;
  }
  return std::nullopt;
}

std::optional<input::Amount> set_to(const job::ToolUse& tool, Dimension dimension) { return as_spelled(tool.setting, dimension); }

bool not_understood(const job::ToolUse& tool, Dimension dimension) {
  if (!begins_with_number(tool.setting) || set_to(tool, dimension)) return false;
  if (taken_apart(tool.setting).second == "rpm") return false;
  const auto read = input::read_amount(tool.setting, dimension, input::sensible(dimension));
  return !read && read.error().code != "unit-kind";
}

}  // namespace handlot::rules
