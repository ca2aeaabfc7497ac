// lower.h: ASCII capitals made small, without locale.
#pragma once

#include <string>
#include <string_view>

namespace handlot::calendar {

inline std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return out;
}

}  // namespace handlot::calendar
