#include "core/spoken.h"

#include <algorithm>

namespace handlot {

std::string spoken(std::string_view id) {
  std::string words(id);
  std::replace_if(words.begin(), words.end(), [](char c) { return c == '-' || c == '_'; }, ' ');
  return words;
}

}  // namespace handlot
