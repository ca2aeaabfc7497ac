// svg.h: a picture written as SVG text, element by element, the same bytes every time.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace handlot {

/// Attributes in the order in which they are written.
using SvgAttributes = std::vector<std::pair<std::string_view, std::string>>;

/// One SVG document. Numbers are written without locale and with at most three decimals.
///
/// Units    user units; the caller says what one unit is (`width` and `height` are printed in millimetres).
/// Given    every open() has its close(); asserted in text().
class SvgPicture {
 public:
  /// A picture of `width` x `height` millimetres whose user unit is a millimetre. `title` and `description`
  /// are read by screen readers.
  SvgPicture(double width, double height, std::string_view title, std::string_view description);

  SvgPicture& open(std::string_view element, const SvgAttributes& attributes = {});
  SvgPicture& close();
  SvgPicture& leaf(std::string_view element, const SvgAttributes& attributes);
  SvgPicture& line(double x1, double y1, double x2, double y2, std::string_view style);
  /// `anchor` is start, middle or end; `size` in user units.
  SvgPicture& text(double x, double y, std::string_view words, double size, std::string_view anchor = "start",
                   const SvgAttributes& more = {});

  /// The whole document.
  std::string finish() const;

 private:
  void attributes(const SvgAttributes& attributes);
  std::string body_;
  std::vector<std::string> open_;
};

/// A number as an attribute: at most three decimals.
std::string svg_number(double value);

/// Text with & < > and quotes made safe for XML; control characters that XML forbids are left out.
std::string xml_escaped(std::string_view text);

}  // namespace handlot
