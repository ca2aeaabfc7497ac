#include "input/pieces.h"

#include <algorithm>
#include <array>

#include "core/text.h"

namespace handlot::input {

bool means_pieces(std::string_view word) {
  static constexpr std::array kWords{"pieces", "piece", "pcs", "pcs.", "pc", "pc.", "ea", "each", "off", "x", "units", "unit", "nos"};
  return std::find(kWords.begin(), kWords.end(), lower(word)) != kWords.end();
}

}  // namespace handlot::input
