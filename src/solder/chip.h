// chip.h: chip size codes, whose inch and metric forms clash.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "core/source.h"

namespace handlot::solder {

struct Chip {
  std::string_view inch;
  std::string_view metric;
  Millimetres length, width, height;  ///< resistor; capacitors may be higher
  std::optional<Millimetres> length_tolerance, width_tolerance, height_tolerance;  ///< from memory
  Source source;
};
std::span<const Chip> chips();

enum class CodeUnit { inch, metric };

/// The chip that a code names.
///
/// Given    "0603", with the unit said beside it or within: "0603 inch", "1608M", "metric 1608", "R0603_inch";
///          or with both codes: "R_0603_1608Metric", "1608 (0603 inch)", "0603/1608".
/// Errors   chip-code-unknown; chip-code-clash: the digits are a size in both systems and nothing says which
///          (both sizes are told).
Result<Chip> chip_size(std::string_view code, std::optional<CodeUnit> unit = {});

/// The same where `otherwise` is meant only by a code that says no unit itself.
Result<Chip> chip_size_or(std::string_view code, CodeUnit otherwise);

/// Length and width by the plain rule alone, without the table: metric AABB = A.A x B.B mm; inch CCDD =
/// 0.CC x 0.DD inch in millimetres (nominal sizes differ a little from this).
std::optional<std::pair<Millimetres, Millimetres>> decode(std::string_view digits, CodeUnit unit);

/// Whether a body of these sides is the chip that the code names.
/// Returns  a sentence if it is not (which code it would be, if any), nothing if it is.
std::optional<std::string> body_against_code(const Chip& chip, Millimetres length, Millimetres width,
                                             Millimetres tolerance = Millimetres(0.2));

}  // namespace handlot::solder
