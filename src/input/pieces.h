// pieces.h: the words with which people count pieces.
#pragma once

#include <string_view>

namespace handlot::input {

/// "pcs", "each", "x"...: what stands behind a number of pieces. Without case; an empty word is none.
bool means_pieces(std::string_view word);

}  // namespace handlot::input
