#include "sheets/pdf_finish.h"

#include <fmt/format.h>

#include <optional>
#include <string_view>

namespace handlot::sheets::pdf {

namespace {

/// The text after the last `key` up to the end of its line.
std::optional<std::string> last_after(const std::string& bytes, std::string_view key) {
  const auto at = bytes.rfind(key);
  if (at == std::string::npos) return std::nullopt;
  auto from = at + key.size();
  while (from < bytes.size() && (bytes[from] == '\n' || bytes[from] == ' ')) ++from;
  const auto to = bytes.find('\n', from);
  return bytes.substr(from, to - from);
}

}  // namespace

std::string with_language(std::string bytes, const std::string& language) {
  const auto root = last_after(bytes, "/Root ");
  const auto info = last_after(bytes, "/Info ");
  const auto size = last_after(bytes, "/Size ");
  const auto table = last_after(bytes, "startxref");
  const auto trailer = bytes.rfind("trailer");
  if (!root || !info || !size || !table || trailer == std::string::npos) return bytes;
  const std::string number = root->substr(0, root->find(' '));
  const auto object = bytes.find("\n" + number + " 0 obj\n");
  if (object == std::string::npos) return bytes;
  const auto open = bytes.find("<<", object);
  const auto end = bytes.find("\nendobj", object);
  if (open == std::string::npos || end == std::string::npos || open > end) return bytes;
  const std::string rest = bytes.substr(open + 2, end - open - 2);
  if (bytes.back() != '\n') bytes += '\n';
  const std::size_t new_object = bytes.size();
  bytes += fmt::format(
      "{} 0 obj\n<< /Lang ({}) /MarkInfo << /Marked true >> /ViewerPreferences << /DisplayDocTitle true "
      ">>{}\nendobj\n",
      number, language, rest);
  const std::size_t new_table = bytes.size();
  const auto plain = [](const std::string& text) {
    return text.substr(0, text.find_last_not_of(" >\r") + 1);
  };
  bytes += fmt::format(
      "xref\n{} 1\n{:010} 00000 n \ntrailer\n<< /Size {} /Root {} /Info {} /Prev {} "
      ">>\nstartxref\n{}\n%%EOF\n",
      number, new_object, plain(*size), plain(*root), plain(*info), plain(*table), new_table);
  return bytes;
}

}  // namespace handlot::sheets::pdf
