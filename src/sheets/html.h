// html.h: the build sheet as one HTML file that needs nothing beside it.
#pragma once

#include <string>

#include "core/diagnostic.h"
#include "sheets/sheet.h"

namespace handlot::sheets {

/// One file: style, pictures, signs and type inside; no script. Reads on a phone, prints a step unbroken.
///
/// `templates`  folder with a sheet.html or sheet.css of the builder's own (Mustache); a file that is not
/// there, or
///              an empty name, takes the one that is built in.
/// Returns  UTF-8. The same sheet gives the same bytes.
/// Errors   template-unreadable: a template of the builder's own that is no Mustache; says what is wrong with
/// it.
Result<std::string> to_html(const Sheet& sheet, const std::string& templates = "");

}  // namespace handlot::sheets
