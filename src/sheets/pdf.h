// pdf.h: the build sheet as pages to print.
#pragma once

#include <string>

#include "sheets/sheet.h"

namespace handlot::sheets {

enum class Paper { a4, letter };

/// Lays the sheet out on pages: a step never splits, heads of tables repeat, each page carries job, revision,
/// hash and "page n of m".
///
/// Returns  the bytes of a PDF 1.5 file with title, author, language and outline, its text searchable and its
/// fonts
///          embedded. The same sheet gives the same bytes with the same versions of Cairo, Pango and the
///          fonts: the creation date is the plan's own start. A picture that is no SVG leaves a frame that
///          says so.
/// Source   type: B612, or what the system gives when it is not installed.
/// Cost     linear in blocks; about 1 ms a step.
std::string to_pdf(const Sheet& sheet, Paper paper = Paper::a4);

}  // namespace handlot::sheets
