// Chip sizes. Nominal sides as printed at koaglobal.com, knutsson.dk, devnix.dev and sealtekpro.com (read
// 2026-11-25); tolerances from memory of thick-film makers' sheets. Other prints: height of 0402 0.30, of
// 0805 0.45 to 0.55; one source prints 1812 as 4.5 x 4.6, which is wrong.
#include "solder/chip.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "core/text.h"

namespace handlot::solder {

std::span<const Chip> chips() {
  static const auto row = [](std::string_view inch, std::string_view metric, double l, double w, double h,
                             double tl, double tw, double th) {
    const auto tolerance = [](double t) { return t > 0 ? std::optional(Millimetres(t)) : std::nullopt; };
    return Chip{inch,           metric,         Millimetres(l),
                Millimetres(w), Millimetres(h), tolerance(tl),
                tolerance(tw),  tolerance(th),  {"CHIPS", "size table", Standing::read}};
  };
  static const std::array<Chip, 10> kTable{row("01005", "0402", 0.40, 0.20, 0.13, 0.02, 0.02, 0.02),
                                           row("0201", "0603", 0.60, 0.30, 0.23, 0.03, 0.03, 0.03),
                                           row("0402", "1005", 1.00, 0.50, 0.35, 0.05, 0.05, 0.05),
                                           row("0603", "1608", 1.60, 0.80, 0.45, 0.10, 0.10, 0.10),
                                           row("0805", "2012", 2.00, 1.25, 0.50, 0.10, 0.10, 0.10),
                                           row("1206", "3216", 3.20, 1.60, 0.55, 0.10, 0.10, 0.10),
                                           row("1210", "3225", 3.20, 2.50, 0.55, 0.10, 0.15, 0.10),
                                           row("1812", "4532", 4.50, 3.20, 0.55, 0, 0, 0),
                                           row("2010", "5025", 5.00, 2.50, 0.55, 0.10, 0.15, 0.10),
                                           row("2512", "6432", 6.40, 3.20, 0.55, 0.10, 0.15, 0.10)};
  return kTable;
}

namespace {

const Chip* find(std::string_view digits, CodeUnit unit) {
  for (const Chip& c : chips()) {
    if ((unit == CodeUnit::inch ? c.inch : c.metric) == digits) return &c;
  }
  return nullptr;
}

std::string size_text(const Chip& c) {
  return fmt::format("{:.2g} x {:.2g} mm", c.length.value, c.width.value);
}

/// One run of four or five digits, and the system that the word beside it names.
struct Code {
  std::string digits;
  std::optional<CodeUnit> unit;
};

bool digit(char c) {
  return c >= '0' && c <= '9';
}
bool letter(char c) {
  return c >= 'a' && c <= 'z';
}

/// What stands right after a code, over blanks and brackets: "1608Metric", "0603 (inch)", "0402M".
std::optional<CodeUnit> unit_after(std::string_view rest) {
  if (rest.starts_with('m') && (rest.size() == 1 || !letter(rest[1]))) return CodeUnit::metric;
  rest.remove_prefix(std::min(rest.find_first_not_of(" _-("), rest.size()));
  if (rest.starts_with("metric") || rest.starts_with("mm")) return CodeUnit::metric;
  if (rest.starts_with("inch") || rest.starts_with("imperial")) return CodeUnit::inch;
  return std::nullopt;
}

/// IPC-7351 names a chip's land pattern by its body in tenths of a millimetre, and its height after an x: RESC1608X55N
/// [memory].
bool land_pattern(std::string_view before, std::string_view after) {
  const auto kinds = {"resc", "capc", "indc", "ledc", "diom"};
  return after.starts_with('x') &&
         std::any_of(kinds.begin(), kinds.end(), [&](const char* kind) { return before.ends_with(kind); });
}

std::vector<Code> codes_in(std::string_view low) {
  std::vector<Code> codes;
  for (std::size_t i = 0; i < low.size();) {
    std::size_t end = i;
    while (end < low.size() && digit(low[end])) ++end;
    if (end - i == 4 || end - i == 5) {
      codes.push_back({std::string(low.substr(i, end - i)), unit_after(low.substr(end))});
      if (land_pattern(low.substr(0, i), low.substr(end))) codes.back().unit = CodeUnit::metric;
    }
    i = std::max(end, i + 1);
  }
  const auto said = [&](std::string_view word) { return low.find(word) != std::string_view::npos; };
  const bool metric = said("metric"), inch = said("inch") || said("imperial");
  if (codes.size() == 1 && !codes.front().unit && metric != inch)
    codes.front().unit = metric ? CodeUnit::metric : CodeUnit::inch;
  return codes;
}

/// The chip that two codes name together, whichever is which: 0603 and 1608.
const Chip* named_twice(const std::vector<Code>& codes) {
  for (const Code& a : codes) {
    for (const Code& b : codes) {
      const Chip* chip = find(a.digits, CodeUnit::inch);
      if (chip != nullptr && chip->metric == b.digits) return chip;
    }
  }
  return nullptr;
}

/// The code that tells the size. Beside one of the other system, a code is of its own: "2512_6332Metric" is an inch 2512.
Code telling(std::vector<Code> codes) {
  if (codes.empty()) return {};
  const auto said = std::find_if(codes.begin(), codes.end(), [](const Code& c) { return c.unit.has_value(); });
  if (said == codes.end()) return codes.front();
  if (find(said->digits, *said->unit) != nullptr) return *said;
  const CodeUnit other = *said->unit == CodeUnit::metric ? CodeUnit::inch : CodeUnit::metric;
  for (Code& code : codes) {
    if (!code.unit) return {code.digits, other};
  }
  return *said;
}

}  // namespace

Result<Chip> chip_size(std::string_view code, std::optional<CodeUnit> unit) {
  const std::vector<Code> codes = codes_in(lower(code));
  if (const Chip* chip = named_twice(codes)) return *chip;
  const Code w = telling(codes);
  if (!unit) unit = w.unit;
  const Chip* as_inch = find(w.digits, CodeUnit::inch);
  const Chip* as_metric = find(w.digits, CodeUnit::metric);
  if (unit) {
    if (const Chip* chip = *unit == CodeUnit::inch ? as_inch : as_metric) return *chip;
  } else if (as_inch && as_metric) {
    return fail(error("chip-code-clash", {},
                      fmt::format("'{}' is {} as an inch code and {} as a metric code", w.digits,
                                  size_text(*as_inch), size_text(*as_metric)),
                      fmt::format("write '{0} inch' or '{0} metric'", w.digits)));
  } else if (as_inch || as_metric) {
    return as_inch ? *as_inch : *as_metric;
  }
  return fail(error("chip-code-unknown", {},
                    fmt::format("'{}' is no chip size that we know{}", std::string(code).substr(0, 40),
                                unit ? (*unit == CodeUnit::inch ? " in inches" : " in millimetres") : ""),
                    "give the body's length, width and height instead"));
}

Result<Chip> chip_size_or(std::string_view code, CodeUnit otherwise) {
  auto said = chip_size(code);
  return said ? said : chip_size(code, otherwise);
}

std::optional<std::pair<Millimetres, Millimetres>> decode(std::string_view digits, CodeUnit unit) {
  // Five digits (01005) follow no rule: 0.010 x 0.005 inch would be a third too small.
  if (digits.size() != 4 || digits.find_first_not_of("0123456789") != std::string_view::npos)
    return std::nullopt;
  const double factor = unit == CodeUnit::metric ? 0.1 : 0.254;
  const auto pair = [&](std::size_t at) {
    return Millimetres(((digits[at] - '0') * 10 + (digits[at + 1] - '0')) * factor);
  };
  return std::pair{pair(0), pair(2)};
}

std::optional<std::string> body_against_code(const Chip& chip, Millimetres length, Millimetres width,
                                             Millimetres tolerance) {
  const auto fits = [&](const Chip& c) {
    const double share = std::min(1.0, c.length.value / 1.6);  // a small chip allows less than a large one
    return std::abs((length - c.length).value) <= tolerance.value * share &&
           std::abs((width - c.width).value) <= tolerance.value * share;
  };
  if (fits(chip)) return std::nullopt;
  std::string text = fmt::format("a body of {:.2f} x {:.2f} mm is not {} (inch {}, metric {})", length.value,
                                 width.value, size_text(chip), chip.inch, chip.metric);
  const auto other = std::find_if(chips().begin(), chips().end(), fits);
  if (other != chips().end()) text += fmt::format("; it is inch {}, metric {}", other->inch, other->metric);
  return text;
}

}  // namespace handlot::solder
