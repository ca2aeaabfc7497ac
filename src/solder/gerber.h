// gerber.h: a Gerber layer (RS-274X, X2) read into openings with area and perimeter.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "core/quantity.h"

namespace handlot::solder {

struct Point {
  double x = 0;  ///< mm
  double y = 0;  ///< mm
  auto operator<=>(const Point&) const = default;
};
using Ring = std::vector<Point>;  ///< closed; the last point is not the first

enum class Shape { circle, rectangle, obround, polygon, other };
std::string_view word(Shape shape);

/// One connected dark patch of the layer: on a paste layer, one hole in the stencil.
///
/// Accuracy exact closed forms for a lone flash of a standard aperture without hole; everything else from
///          rings whose arcs are chords no further than Layer::chord_error from the arc.
struct Opening {
  Ring outline;             ///< counter-clockwise
  std::vector<Ring> holes;  ///< clockwise
  SquareMillimetres area;
  Millimetres perimeter;  ///< outline and holes
  Millimetres width;      ///< of the largest circle that fits inside: side of a square, diameter of a circle
  Millimetres length;     ///< of the box along the shape's own axes
  Point centre;           ///< of area
  Point low, high;        ///< box along the axes
  Shape shape = Shape::other;
  std::string aperture;   ///< "D10", or empty for regions and patches of several objects
  std::string component;  ///< X2 .C, if given
  std::string pin;        ///< X2 .P, if given
  std::string function;   ///< X2 .AperFunction of its first object, if given: "SMDPad", "ViaPad"
  int line = 0;           ///< of the first object that makes it
};

struct Layer {
  std::string file;
  std::string function;           ///< X2 .FileFunction as written, e.g. "Paste,Top"; empty if not given
  std::vector<Opening> openings;  ///< by y, then x of the centre
  Millimetres chord_error{0.0005};
  int objects = 0;       ///< flashes, draws, arcs and regions, step-and-repeat counted out
  Diagnostics warnings;  ///< deprecated words, missing end of file, ...
};

struct GerberLimits {
  int objects = 200'000;  ///< step-and-repeat counted out
  int depth = 16;         ///< of block apertures within block apertures
};

/// Reads a layer.
///
/// Errors   gerber-empty, gerber-not-gerber, gerber-unknown-command, gerber-no-format, gerber-no-units,
///          gerber-bad-number, gerber-unknown-aperture, gerber-bad-aperture, gerber-bad-macro,
///          gerber-macro-expression, gerber-open-region, gerber-bad-arc, gerber-too-many,
///          gerber-negative-image, gerber-unclosed. Each with line and mend; all of a file at once where the
///          reader can go on.
/// Cost     about n log n in the objects (polygon union).
Result<Layer> read_gerber(std::string_view text, std::string_view file, const GerberLimits& limits = {});

/// Reads the layer that is to say where a board's pads are. Of a copper layer (by its X2 .FileFunction, or where something joins two
/// flashes that lie apart) the flashes are the pads, and what is drawn for a pin (X2 .P); tracks and pours are left out. Copper
/// that holds no such pad stays, with the function "Conductor". Any other layer is read as by read_gerber.
///
/// Errors, Cost  those of read_gerber.
Result<Layer> read_pads(std::string_view text, std::string_view file, const GerberLimits& limits = {});

/// Area of a ring by the shoelace rule, positive for counter-clockwise; and its length.
double signed_area(const Ring& ring);
double length(const Ring& ring);
bool holds(const Ring& ring, Point point);

}  // namespace handlot::solder
