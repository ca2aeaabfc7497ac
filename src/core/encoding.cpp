#include "core/encoding.h"

namespace handlot {

namespace {

void append_utf8(std::string& out, unsigned code) {
  const auto put = [&](unsigned byte) { out += static_cast<char>(static_cast<unsigned char>(byte)); };
  if (code < 0x80) {
    put(code);
  } else if (code < 0x800) {
    put(0xC0 | (code >> 6)), put(0x80 | (code & 0x3F));
  } else {
    put(0xE0 | (code >> 12)), put(0x80 | ((code >> 6) & 0x3F)), put(0x80 | (code & 0x3F));
  }
}

}  // namespace

std::string from_utf16(std::string_view bytes) {
  const bool little = bytes.starts_with("\xFF\xFE");
  if (!little && !bytes.starts_with("\xFE\xFF")) return std::string(bytes);
  std::string out;
  out.reserve(bytes.size() / 2);
  for (std::size_t i = 2; i + 1 < bytes.size(); i += 2) {
    const auto low = static_cast<unsigned char>(bytes[little ? i : i + 1]);
    const auto high = static_cast<unsigned char>(bytes[little ? i + 1 : i]);
    const unsigned code = static_cast<unsigned>(low) | (static_cast<unsigned>(high) << 8);
    append_utf8(out, code >= 0xD800 && code < 0xE000 ? '?' : code);
  }
  return out;
}

std::string from_latin1(std::string_view bytes) {
  std::string out;
  for (const char c : bytes) append_utf8(out, static_cast<unsigned char>(c));
  return out;
}

}  // namespace handlot
