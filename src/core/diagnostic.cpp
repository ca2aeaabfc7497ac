#include "core/diagnostic.h"

#include <fmt/format.h>

#include <utility>

namespace handlot {

std::string describe(const Place& place) {
  std::string text = place.file;
  if (place.line > 0) text += fmt::format(":{}", place.line);
  if (place.line > 0 && place.column > 0) text += fmt::format(":{}", place.column);
  return text;
}

Diagnostic error(std::string code, Place place, std::string text, std::string mend) {
  return {Diagnostic::Severity::error, std::move(code), std::move(text), std::move(place), std::move(mend), {}};
}

Diagnostic warning(std::string code, Place place, std::string text, std::string mend) {
  return {Diagnostic::Severity::warning, std::move(code), std::move(text), std::move(place), std::move(mend), {}};
}

tl::unexpected<Diagnostics> fail(Diagnostic one) {
  Diagnostics all;
  all.push_back(std::move(one));
  return tl::unexpected<Diagnostics>(std::move(all));
}

tl::unexpected<Diagnostics> fail(Diagnostics all) { return tl::unexpected<Diagnostics>(std::move(all)); }

namespace {

std::string caret_lines(const Place& place, std::string_view line_text) {
  std::string shown;
  std::string pointer;
  int column = 1;
  for (char c : line_text) {
    const std::size_t width = c == '\t' ? 8 - (shown.size() % 8) : 1;
    if (column < place.column) pointer.append(width, ' ');
    shown.append(c == '\t' ? std::string(width, ' ') : std::string(1, c));
    ++column;
  }
  std::string text = fmt::format("{:>5} | {}\n", place.line, shown);
  if (place.column > 0) text += fmt::format("      | {}^\n", pointer);
  return text;
}

}  // namespace

std::string format(const Diagnostic& diagnostic, std::string_view line_text) {
  const std::string where = describe(diagnostic.place);
  const char* kind = diagnostic.severity == Diagnostic::Severity::error ? "error" : "warning";
  std::string text = fmt::format("{}: {}: {} [{}]\n", where.empty() ? "handlot" : where, kind, diagnostic.text,
                                 diagnostic.code);
  if (!line_text.empty() && diagnostic.place.line > 0) text += caret_lines(diagnostic.place, line_text);
  for (const Note& note : diagnostic.notes) {
    const std::string at = describe(note.place);
    text += at.empty() ? fmt::format("note: {}\n", note.text) : fmt::format("{}: note: {}\n", at, note.text);
  }
  if (!diagnostic.mend.empty()) text += fmt::format("  mend: {}\n", diagnostic.mend);
  return text;
}

}  // namespace handlot
