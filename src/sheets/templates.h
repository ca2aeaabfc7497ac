// templates.h: the text files that the sheet's HTML is made from.
#pragma once

#include <string>
#include <string_view>

namespace handlot::sheets {

/// A file of src/sheets/templates as it was when the program was built, or of the fonts; empty when there is
/// none.
std::string_view built_in(std::string_view name);

}  // namespace handlot::sheets
