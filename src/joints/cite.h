// cite.h: a source written short, for rows of compiled-in tables.
#pragma once

#include <string>
#include <string_view>

#include "core/source.h"

namespace handlot::joints {

/// One row's source. Keys stand in docs/reference/sources.md.
struct Cite {
  std::string_view key;
  std::string_view at;
  Standing standing = Standing::read;

  Source source() const { return {std::string(key), std::string(at), standing}; }
};

inline constexpr Cite kPractice{"", "", Standing::practice};

}  // namespace handlot::joints
