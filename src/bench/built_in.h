// built_in.h: the style sheet and scripts of the page, compiled into the program from src/bench/page.
#pragma once

#include <cstddef>
#include <string_view>

namespace handlot::bench {

struct BuiltIn {
  std::string_view name;
  std::string_view text;
};

extern const BuiltIn kBuiltIn[];
extern const std::size_t kBuiltIns;

}  // namespace handlot::bench
