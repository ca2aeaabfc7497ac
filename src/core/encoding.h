// encoding.h: text that programs wrote in other encodings than UTF-8.
#pragma once

#include <string>
#include <string_view>

namespace handlot {

/// UTF-16 with its mark in front, as UTF-8 without one; nothing written by a spreadsheet or a logger lies beyond the first
/// plane: surrogates become '?'. Other text as it is.
std::string from_utf16(std::string_view bytes);

/// ISO 8859-1 as UTF-8, byte by byte.
std::string from_latin1(std::string_view bytes);

}  // namespace handlot
