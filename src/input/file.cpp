#include "input/file.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <system_error>

namespace handlot::input {

namespace fs = std::filesystem;

namespace {

constexpr std::size_t kFirstBlock = 1u << 16;

}  // namespace

Result<std::string> read_text(const std::string& path, std::size_t limit) {
  std::error_code code;
  const fs::file_status status = fs::status(path, code);
  if (!fs::exists(status)) {
    return fail(error("file-missing", {path, 0, 0}, "there is no such file", "check the path"));
  }
  if (fs::is_directory(status)) {
    return fail(error("file-unreadable", {path, 0, 0}, "this is a folder, not a file", "name the file inside it"));
  }
  std::ifstream stream(path, std::ios::binary);
  std::string text;
  // Grown with what is there: the limit may be a thousand times the file.
  while (stream && text.size() <= limit) {
    const std::size_t had = text.size(), more = std::max(kFirstBlock, had);
    text.resize(std::min(had + more, limit + 1));
    stream.read(text.data() + had, static_cast<std::streamsize>(text.size() - had));
    text.resize(had + static_cast<std::size_t>(stream.gcount()));
  }
  if (!stream && !stream.eof()) {
    return fail(error("file-unreadable", {path, 0, 0}, "the file can't be read", "check its permissions"));
  }
  if (text.size() > limit) {
    return fail(error("file-huge", {path, 0, 0}, fmt::format("the file is larger than {} MiB", limit >> 20),
                      "check that this is the right file"));
  }
  return text;
}

namespace {

/// The offset of the first byte that can't belong to UTF-8 text, or npos.
std::size_t not_utf8(const std::string& text) {
  std::size_t i = 0;
  while (i < text.size()) {
    const unsigned char lead = static_cast<unsigned char>(text[i]);
    const std::size_t more = lead < 0x80 ? 0 : (lead >> 5) == 6 ? 1 : (lead >> 4) == 14 ? 2 : (lead >> 3) == 30 ? 3 : 9;
    if (lead == 0 || more == 9 || lead == 0xC0 || lead == 0xC1 || lead > 0xF4) return i;
    for (std::size_t k = 1; k <= more; ++k) {
      if (i + k >= text.size() || (static_cast<unsigned char>(text[i + k]) >> 6) != 2) return i;
    }
    i += more + 1;
  }
  return std::string::npos;
}

}  // namespace

std::optional<Diagnostic> encoding_fault(std::string& text, const std::string& path) {
  if (text.empty()) {
    return error("file-empty", {path, 0, 0}, "the file is empty", "start from 'handlot new DIR'");
  }
  if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF")) {
    return error("file-encoding", {path, 0, 0}, "the file is UTF-16", "save it as UTF-8");
  }
  if (text.starts_with("\xEF\xBB\xBF")) text.erase(0, 3);
  const std::size_t bad = not_utf8(text);
  if (bad == std::string::npos) return std::nullopt;
  const int line = 1 + static_cast<int>(std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(bad), '\n'));
  return error("file-encoding", {path, line, 0},
               fmt::format("byte 0x{:02x} is not UTF-8", static_cast<unsigned char>(text[bad])), "save the file as UTF-8");
}

Result<bool> write_text(const std::string& path, const std::string& text) {
  const std::string beside = path + ".part";
  {
    std::ofstream stream(beside, std::ios::binary | std::ios::trunc);
    stream.write(text.data(), static_cast<std::streamsize>(text.size()));
    stream.flush();
    if (!stream) {
      std::error_code ignored;
      fs::remove(beside, ignored);
      return fail(error("cannot-write", {path, 0, 0}, "the file can't be written", "check the folder, its permissions and the space left"));
    }
  }
  std::error_code code;
  fs::rename(beside, path, code);
  if (code) {
    std::error_code ignored;
    fs::remove(beside, ignored);
    return fail(error("cannot-write", {path, 0, 0}, fmt::format("the file can't be put in place: {}", code.message()),
                      "check the folder and its permissions"));
  }
  return true;
}

}  // namespace handlot::input
