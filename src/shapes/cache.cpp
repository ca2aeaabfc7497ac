#include "shapes/cache.h"

#include <fmt/format.h>

#include <unistd.h>
#include <atomic>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <utility>

namespace handlot::shapes {

namespace {

constexpr std::uint64_t turned(std::uint64_t v, int by) {
  return (v << by) | (v >> (64 - by));
}
constexpr std::uint64_t mixed(std::uint64_t v) {
  v ^= v >> 33;
  v *= 0xff51afd7ed558ccdULL;
  v ^= v >> 33;
  v *= 0xc4ceb9fe1a85ec53ULL;
  return v ^ (v >> 33);
}

}  // namespace

std::string content_key(std::string_view text) {
  std::uint64_t a = 0x243f6a8885a308d3ULL;
  std::uint64_t b = 0x13198a2e03707344ULL ^ text.size();
  for (std::size_t i = 0; i < text.size(); i += 8) {
    std::uint64_t word = 0;
    for (std::size_t k = 0; k < 8 && i + k < text.size(); ++k)
      word |= static_cast<std::uint64_t>(static_cast<unsigned char>(text[i + k])) << (8 * k);
    a = turned(a ^ mixed(word + 0x9e3779b97f4a7c15ULL), 27) * 0xa0761d6478bd642fULL + b;
    b = turned(b + (word ^ a), 31) * 0xe7037ed1a0b428dbULL;
  }
  return fmt::format("{:016x}{:016x}", mixed(a ^ turned(b, 17)), mixed(b + turned(a, 41)));
}

Cache::Cache(std::string folder) : folder_(std::move(folder)) {}

std::optional<std::string> Cache::get(std::string_view kind, std::string_view key) const {
  if (folder_.empty()) return std::nullopt;
  std::ifstream file(fmt::format("{}/{}-{}", folder_, kind, key), std::ios::binary | std::ios::ate);
  if (!file) return std::nullopt;
  const auto size = file.tellg();
  if (size < 32) return std::nullopt;
  std::string bytes(static_cast<std::size_t>(size), '\0');
  file.seekg(0);
  if (!file.read(bytes.data(), size)) return std::nullopt;
  const std::string check = bytes.substr(0, 32);
  bytes.erase(0, 32);
  if (content_key(bytes) != check) return std::nullopt;
  return bytes;
}

void Cache::put(std::string_view kind, std::string_view key, std::string_view bytes) const {
  static std::atomic<int> count{0};
  if (folder_.empty()) return;
  std::error_code ignored;
  std::filesystem::create_directories(folder_, ignored);
  const std::string name = fmt::format("{}/{}-{}", folder_, kind, key);
  const std::string beside = fmt::format("{}.{}-{}", name, getpid(), count++);
  {
    std::ofstream file(beside, std::ios::binary);
    file << content_key(bytes);
    file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    file.close();
    if (!file) {
      std::filesystem::remove(beside, ignored);
      return;
    }
  }
  std::filesystem::rename(beside, name, ignored);
  if (ignored) std::filesystem::remove(beside, ignored);
}

}  // namespace handlot::shapes
