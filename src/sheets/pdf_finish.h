// pdf_finish.h: what Cairo cannot say about a PDF file, added behind its end; private to the PDF form.
#pragma once

#include <string>

namespace handlot::sheets::pdf {

/// Says in which language the text is, and that a reader shows the title and not the file's name: an
/// incremental update (ISO 32000-1, 7.5.6) with a new catalogue.
///
/// Given    a file as Cairo 1.16 writes it: one cross-reference table, catalogue as an object of its own.
/// Returns  the bytes unchanged when the file is not of that kind.
std::string with_language(std::string bytes, const std::string& language);

}  // namespace handlot::sheets::pdf
