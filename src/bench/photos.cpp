#include "bench/photos.h"

#include <openssl/evp.h>

#include <fmt/format.h>

namespace handlot::bench {
namespace {

int big_endian(std::string_view bytes, std::size_t at, int count) {
  int out = 0;
  for (int i = 0; i < count; ++i)
    out = out * 256 + static_cast<unsigned char>(bytes[at + static_cast<std::size_t>(i)]);
  return out;
}

std::optional<PictureSize> sound(int width, int height) {
  if (width < 1 || height < 1 || width > 30000 || height > 30000) return std::nullopt;
  return PictureSize{width, height};
}

/// Frame headers are SOF0 to SOF15 without the three markers among them that are something else.
bool is_frame(int marker) {
  return marker >= 0xC0 && marker <= 0xCF && marker != 0xC4 && marker != 0xC8 && marker != 0xCC;
}

std::optional<PictureSize> jpeg_size(std::string_view b) {
  for (std::size_t at = 2; at + 9 < b.size();) {
    if (big_endian(b, at, 1) != 0xFF) return std::nullopt;
    const int marker = big_endian(b, at + 1, 1);
    if (marker == 0xFF) {  // fill
      ++at;
      continue;
    }
    if (is_frame(marker)) return sound(big_endian(b, at + 7, 2), big_endian(b, at + 5, 2));
    at += 2 + static_cast<std::size_t>(big_endian(b, at + 2, 2));
  }
  return std::nullopt;
}

std::string base64(const std::string& bytes) {
  std::string out(4 * ((bytes.size() + 2) / 3) + 1, '\0');
  const int n =
      EVP_EncodeBlock(reinterpret_cast<unsigned char*>(out.data()),
                      reinterpret_cast<const unsigned char*>(bytes.data()), static_cast<int>(bytes.size()));
  out.resize(static_cast<std::size_t>(n));
  return out;
}

}  // namespace

std::string image_type(std::string_view b) {
  if (b.substr(0, 3) == "\xff\xd8\xff") return "image/jpeg";
  if (b.substr(0, 8) == std::string_view("\x89PNG\r\n\x1a\n", 8)) return "image/png";
  if (b.size() > 12 && b.substr(0, 4) == "RIFF" && b.substr(8, 4) == "WEBP") return "image/webp";
  return "";
}

std::optional<PictureSize> picture_size(std::string_view bytes) {
  const std::string type = image_type(bytes);
  if (type == "image/png" && bytes.size() >= 24)
    return sound(big_endian(bytes, 16, 4), big_endian(bytes, 20, 4));
  return type == "image/jpeg" ? jpeg_size(bytes) : std::nullopt;
}

std::string photo_svg(const record::Photo& photo) {
  const auto size = picture_size(photo.bytes);
  if (!size) return "";
  return fmt::format(
      R"(<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="{0}" height="{1}" viewBox="0 0 {0} {1}"><image width="{0}" height="{1}" xlink:href="data:{2};base64,{3}"/></svg>)",
      size->width, size->height, image_type(photo.bytes), base64(photo.bytes));
}

}  // namespace handlot::bench
