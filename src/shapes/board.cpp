#include "shapes/board.h"

#include <fmt/format.h>

namespace handlot::shapes {

std::optional<ComponentBody> chip_body(std::string_view code, bool metric) {
  // Rectangular chip resistors as published; other chips of a code have its length and width and their own
  // height.
  static constexpr struct {
    std::string_view inch, metric;
    double length, width, height;
  } kChips[] = {{"01005", "0402", 0.40, 0.20, 0.13}, {"0201", "0603", 0.60, 0.30, 0.23},
                {"0402", "1005", 1.00, 0.50, 0.35},  {"0603", "1608", 1.60, 0.80, 0.45},
                {"0805", "2012", 2.00, 1.25, 0.50},  {"1206", "3216", 3.20, 1.60, 0.55},
                {"1210", "3225", 3.20, 2.50, 0.55},  {"1812", "4532", 4.50, 3.20, 0.55},
                {"2010", "5025", 5.00, 2.50, 0.55},  {"2512", "6432", 6.40, 3.20, 0.55}};
  for (const auto& c : kChips)
    if (code == (metric ? c.metric : c.inch))
      return ComponentBody{Millimetres(c.length),
                           Millimetres(c.width),
                           Millimetres(c.height),
                           {"CHIPS", std::string(code), Standing::read}};
  return std::nullopt;
}

Placement on_board(Point2 at, Degrees rotation, bool bottom, Millimetres thickness) {
  return bottom ? placed_at({at.x, at.y, 0}, Degrees(180), Degrees(0), rotation)
                : placed_at({at.x, at.y, thickness.value}, Degrees(0), Degrees(0), rotation);
}

Result<BoardSolids> board_solids(const Board& board) {
  BoardSolids made;
  ExtrusionShape outline{board.outline, {}, board.thickness};
  SolidTree plain;
  plain.shape = outline;
  std::vector<SolidTree> cuts{plain};
  for (const PlateHole& h : board.holes)
    cuts.push_back(cylinder(h.diameter.value, board.thickness.value + 2, {h.at.x, h.at.y, -1}));
  made.board = cuts.size() > 1 ? cut(std::move(cuts)) : plain;
  Diagnostics wrong = faults(made.board);
  for (const PlacedComponent& c : board.components) {
    if (c.body.length.value <= 0 || c.body.width.value <= 0 || c.body.height.value <= 0) {
      made.without_body.push_back(c.designator);
      continue;
    }
    const SolidTree body = box(c.body.length.value, c.body.width.value, c.body.height.value);
    made.components.emplace_back(c.designator, moved(body, on_board(c.at, c.rotation, c.bottom, board.thickness)));
    for (Diagnostic& d : faults(made.components.back().second)) {
      d.text = fmt::format("component {}: {}", c.designator, d.text);
      wrong.push_back(std::move(d));
    }
  }
  if (!wrong.empty()) return fail(std::move(wrong));
  return made;
}

}  // namespace handlot::shapes
