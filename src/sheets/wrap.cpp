#include "sheets/wrap.h"

#include <algorithm>

namespace handlot::sheets {

std::size_t columns(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

std::vector<std::string> wrapped(std::string_view text, std::size_t width) {
  std::vector<std::string> lines;
  std::string line;
  std::size_t taken = 0;
  for (std::size_t at = 0; at < text.size();) {
    const auto end = std::min(text.find_first_of(" \n", at), text.size());
    const std::string_view word = text.substr(at, end - at);
    const std::size_t wide = columns(word);
    if (taken > 0 && taken + 1 + wide > width) {
      lines.push_back(std::move(line));
      line.clear();
      taken = 0;
    }
    if (!word.empty()) {
      if (taken > 0) line += ' ';
      taken += (taken > 0 ? 1 : 0) + wide;
      line += word;
    }
    if (end < text.size() && text[end] == '\n') {
      lines.push_back(std::move(line));
      line.clear();
      taken = 0;
    }
    at = end + 1;
  }
  if (!line.empty() || lines.empty()) lines.push_back(std::move(line));
  return lines;
}

std::string hanging(std::string_view first, std::string_view text, std::size_t width) {
  const std::size_t indent = columns(first);
  std::string out;
  for (const auto& line : wrapped(text, width > indent + 20 ? width - indent : 20)) {
    out += out.empty() ? std::string(first) : std::string(indent, ' ');
    out += line;
    out += '\n';
  }
  return out;
}

std::string padded(std::string text, std::size_t width, bool right) {
  const std::size_t taken = columns(text);
  if (taken >= width) return text;
  const std::string space(width - taken, ' ');
  return right ? space + text : text + space;
}

}  // namespace handlot::sheets
