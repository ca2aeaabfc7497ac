// wrap.h: lines of a terminal; private to the layer.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace handlot::sheets {

/// Columns that UTF-8 text takes, one a character: good for the letters and signs that sheets use.
std::size_t columns(std::string_view text);

/// Lines of at most `width` columns, broken at spaces; a longer word stands alone, unbroken.
std::vector<std::string> wrapped(std::string_view text, std::size_t width);

/// `first` before the first line, as many spaces before the others; every line ended.
std::string hanging(std::string_view first, std::string_view text, std::size_t width);

/// Filled up with spaces to `width` columns.
std::string padded(std::string text, std::size_t width, bool right = false);

}  // namespace handlot::sheets
