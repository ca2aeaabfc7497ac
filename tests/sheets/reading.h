// reading.h: what other programs read out of the sheet's files.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace handlot::test {

/// Output of a shell command, or nothing when it fails or is not there.
std::optional<std::string> output_of(const std::string& command);

/// Runs of white space as one space.
std::string plain(const std::string& text);

/// The text of each page by poppler's pdftotext, plain; nothing without that program.
std::optional<std::vector<std::string>> pdf_pages(const std::string& pdf_bytes, const std::string& name);

/// The text of an HTML file without style, drawings and tags, plain; references read back.
std::string html_text(const std::string& html);

/// A fresh path under the build tree.
std::string scratch(const std::string& name);

}  // namespace handlot::test
