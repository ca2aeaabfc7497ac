// file.h: files read whole, with limits, and written so that nothing is ever half there.
#pragma once

#include <optional>
#include <string>

#include "core/diagnostic.h"

namespace handlot::input {

/// The whole text of a file.
///
/// Errors   file-missing, file-unreadable (a folder, no permission), file-huge (over `limit` bytes).
Result<std::string> read_text(const std::string& path, std::size_t limit = 8u << 20);

/// What is wrong with the encoding: UTF-16 or -32, bytes that are not UTF-8, NUL bytes. A UTF-8 mark is dropped from `text`.
std::optional<Diagnostic> encoding_fault(std::string& text, const std::string& path);

/// Writes beside `path` and renames, so that a reader sees the old file or the new one and nothing between.
///
/// Errors   cannot-write, with what the system says.
Result<bool> write_text(const std::string& path, const std::string& text);

}  // namespace handlot::input
