// diagnostic.h: what is wrong, where, and what would mend it.
#pragma once

#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

namespace handlot {

/// A place in a file a person can edit. Line and column count from 1; 0 = not known (never a guess).
struct Place {
  std::string file;
  int line = 0;
  int column = 0;

  auto operator<=>(const Place&) const = default;
};

/// "file:line:column", leaving out what is not known. Empty for an empty place.
std::string describe(const Place& place);

/// A second place that belongs to the fault.
struct Note {
  Place place;
  std::string text;
};

struct Diagnostic {
  enum class Severity { error, warning };
  Severity severity = Severity::error;
  std::string code;  ///< stable; stands in docs/reference/messages.md
  std::string text;  ///< lower case, no full stop
  Place place;
  std::string mend;  ///< an order to follow; empty only where there is none
  std::vector<Note> notes;
};

using Diagnostics = std::vector<Diagnostic>;

/// A value, or everything that is wrong with the input it was to come from.
template <class T>
using Result = tl::expected<T, Diagnostics>;

Diagnostic error(std::string code, Place place, std::string text, std::string mend);
Diagnostic warning(std::string code, Place place, std::string text, std::string mend);
tl::unexpected<Diagnostics> fail(Diagnostic one);
tl::unexpected<Diagnostics> fail(Diagnostics all);

/// One diagnostic as printed on a terminal, several lines, each ended.
/// `line_text` is the line of the file, or empty: with it a caret is drawn under the column (tabs to 8).
std::string format(const Diagnostic& diagnostic, std::string_view line_text = {});

}  // namespace handlot
