#include "sheets/reading.h"

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <regex>

namespace handlot::test {

std::optional<std::string> output_of(const std::string& command) {
  FILE* pipe = popen((command + " 2>/dev/null").c_str(), "r");
  if (!pipe) return std::nullopt;
  std::string out;
  char buffer[4096];
  for (std::size_t got = 0; (got = std::fread(buffer, 1, sizeof buffer, pipe)) > 0;) out.append(buffer, got);
  if (pclose(pipe) != 0) return std::nullopt;
  return out;
}

std::string plain(const std::string& text) {
  std::string out;
  for (const char c : text) {
    const bool space = c == ' ' || c == '\n' || c == '\t' || c == '\r' || c == '\f';
    if (!space) out += c;
    if (space && !out.empty() && out.back() != ' ') out += ' ';
  }
  return out;
}

std::string scratch(const std::string& name) {
  const auto folder = std::filesystem::path(HANDLOT_BUILD) / "sheets_test";
  std::filesystem::create_directories(folder);
  return (folder / name).string();
}

std::optional<std::vector<std::string>> pdf_pages(const std::string& pdf_bytes, const std::string& name) {
  const std::string path = scratch(name);
  std::ofstream(path, std::ios::binary) << pdf_bytes;
  const auto text = output_of("pdftotext -raw -enc UTF-8 '" + path + "' -");
  if (!text) return std::nullopt;
  std::vector<std::string> pages;
  for (std::size_t from = 0; from < text->size();) {
    const auto to = std::min(text->find('\f', from), text->size());
    pages.push_back(plain(text->substr(from, to - from)));
    from = to + 1;
  }
  return pages;
}

std::string html_text(const std::string& html) {
  std::string out;
  for (std::size_t at = 0; at < html.size();) {
    if (html.compare(at, 6, "<style") == 0 || html.compare(at, 5, "<svg ") == 0) {
      const std::string end = html[at + 2] == 't' ? "</style>" : "</svg>";
      at = html.find(end, at) + end.size();
    } else if (html[at] == '<') {
      const auto close = html.find('>', at);
      const std::string tag = html.substr(at + 1, close - at - 1);
      const bool inside_words = tag.starts_with("strong") || tag.starts_with("/strong");
      if (!inside_words) out += ' ';
      at = close + 1;
    } else {
      out += html[at++];
    }
  }
  for (const auto& [from, to] : {std::pair{"&lt;", "<"},
                                 {"&gt;", ">"},
                                 {"&quot;", "\""},
                                 {"&apos;", "'"},
                                 {"&#39;", "'"},
                                 {"&amp;", "&"}}) {
    out = std::regex_replace(out, std::regex(from), to);
  }
  return plain(out);
}

}  // namespace handlot::test
