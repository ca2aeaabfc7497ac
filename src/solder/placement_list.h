// placement_list.h: where each part of a board goes, read from the table that a board comes with.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "solder/gerber.h"

namespace handlot::solder {

struct ListedPart {
  std::string ref;      ///< "R12"
  std::string value;    ///< "10k"; may be empty
  std::string package;  ///< "0603"; may be empty
  std::string part;     ///< the job's part, where the list has such a column
  std::string mark;     ///< what shows which way round it goes; may be empty
  Point centre;         ///< mm, seen from above, whichever side it is on
  Degrees turned;       ///< counter-clockwise, as the list says
  bool bottom = false;
  int line = 0;
};

struct PlacementList {
  std::string file;
  std::vector<ListedPart> parts;      ///< as listed, without those that are not fitted
  int not_fitted = 0;
  std::vector<std::string> notes;     ///< what the list does not say and was taken otherwise
};

/// What people write over the values and over the packages of a list of parts, letters and digits alone, small; the first that a
/// list has is meant.
const std::vector<std::string_view>& value_heads();
const std::vector<std::string_view>& package_heads();

/// Whether a part stays off the board, by what stands under "fitted" and under "DNP" (empty: nothing) and by its value.
/// Nothing where a mark says neither.
std::optional<bool> stays_off(std::string_view fitted, std::string_view left_out, std::string_view value);

/// A fiducial, a test point or a hole, by the letters of its reference (FID, TP, MH) or what its value or package says:
/// it stands in the list of a board and nobody places it.
bool is_no_part(const ListedPart& row);

/// Reads a placement list.
///
/// Given    a table with a head: reference (ref, reference, designator; part, where no other names the row), x and y, and where it has them value (comment), package
///          (footprint), rotation (rot, angle, turn), side (layer) or mirror (yes: on the bottom), part, mark, fitted (yes, no) or DNP (yes: left out).
///          Columns may be cut by , ; tab or |, or stand under one another with blanks between; numbers have a point or a comma; a title may stand above the head, and
///          the head be a comment. The unit of x and y stands beside the number ("12.5mm"), in a column "unit", in the head ("x (mm)",
///          "x_mm") or in a comment ("# unit: mm"): mm, um, mil, in.
/// Errors   placement-columns, placement-number, placement-unit (nothing says it: never chosen), placement-side,
///          placement-fitted, csv-thousands, placement-twice, placement-empty, and those of input::read_csv; each with its line.
/// Cost     n log n in the lines.
Result<PlacementList> read_placement_list(const std::string& text, const std::string& file);

}  // namespace handlot::solder
