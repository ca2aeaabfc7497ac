// svg_text.h: words in drawings made here.
#pragma once

#include <string>
#include <string_view>

namespace handlot::sheets {

/// One line of text with its left end at x and its base line at y.
std::string svg_text(double x, double y, double size, std::string_view text, std::string_view colour = "#000",
                     bool bold = false);

/// About how wide it will be in B612: good to a tenth, and rather too wide than too narrow.
double text_width(std::string_view text, double size);

/// Cut with ".." to fit, behind a word; within one only where the first by itself is too wide.
std::string shortened(std::string_view text, double size, double width);

}  // namespace handlot::sheets
