// sheet_svg.h: the few SVG elements that pictures are made of. Private to the pictures.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "shapes/solid_tree.h"

namespace handlot::shapes {

/// Paper in mm, y downwards. Numbers have two decimals; one element a line.
class SheetSvg {
 public:
  SheetSvg(double width, double height, std::string_view title);
  void runs(const std::vector<Polygon>& runs, std::string_view style);
  void filled(const std::vector<Polygon>& runs, std::string_view style);
  void line(Point2 a, Point2 b, std::string_view style);
  void arrow(Point2 from, Point2 to, std::string_view colour, double width);
  void circle(Point2 at, double radius, std::string_view style);
  /// `anchor`: start, middle or end. Bold when `heavy`.
  void text(Point2 at, std::string_view words, double size, std::string_view anchor, bool heavy = false);
  std::string done() &&;

 private:
  std::string out_;
};

/// About how wide words of this size are, in the same unit.
double text_width(std::string_view words, double size);

/// Words cut into lines no wider than `width`, at blanks where there are any; at most `lines`, the last with
/// "..." when something is left.
std::vector<std::string> wrapped(std::string_view words, double size, double width, std::size_t lines);

}  // namespace handlot::shapes
