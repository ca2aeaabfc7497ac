// cache.h: results kept by content, in a folder that the caller gives.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace handlot::shapes {

/// 128 bits of the text as 32 hex digits; the same on every machine.
std::string content_key(std::string_view text);

/// A folder of small files, each named by its key. A file that is damaged or unreadable is as good as absent.
/// Writing goes beside and renames, so that two runs may share the folder.
class Cache {
 public:
  /// Empty folder: nothing is kept.
  explicit Cache(std::string folder = {});
  std::optional<std::string> get(std::string_view kind, std::string_view key) const;
  void put(std::string_view kind, std::string_view key, std::string_view bytes) const;

 private:
  std::string folder_;
};

}  // namespace handlot::shapes
