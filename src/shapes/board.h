// board.h: a circuit board as an outline and a placement list.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/diagnostic.h"
#include "core/source.h"
#include "shapes/solid_tree.h"

namespace handlot::shapes {

/// The body of a component standing on the board: length along x at rotation 0, width, height.
struct ComponentBody {
  Millimetres length, width, height;
  Source source;
};
/// By chip-size code. "0603" is read as inch unless `metric`; a code that means two sizes is the caller's to
/// settle. Source   chips.csv (rectangular chip resistors).
std::optional<ComponentBody> chip_body(std::string_view code, bool metric = false);

struct PlacedComponent {
  std::string designator;
  Point2 at;  ///< mm
  Degrees rotation;
  bool bottom = false;
  ComponentBody body;
};
struct Board {
  Polygon outline;
  Millimetres thickness;
  std::vector<PlateHole> holes;
  std::vector<PlacedComponent> components;
};
/// Where a component stands in board coordinates: on the upper face, or hanging from the lower one, turned over about x.
Placement on_board(Point2 at, Degrees rotation, bool bottom, Millimetres thickness);

/// The bare board (upper face at z = thickness), and each component as a solid in board coordinates.
struct BoardSolids {
  SolidTree board;
  std::vector<std::pair<std::string, SolidTree>> components;  ///< by designator
  std::vector<std::string> without_body;                      ///< designators whose body has no size
};
Result<BoardSolids> board_solids(const Board& board);

}  // namespace handlot::shapes
