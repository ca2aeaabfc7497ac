// gerber_reader.h: the words of a Gerber file turned into objects. Used by the Gerber layer only.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "solder/gerber.h"
#include "solder/gerber_macro.h"

namespace handlot::solder::gerber {

struct Aperture {
  Shape shape = Shape::other;
  double x = 0, y = 0;  ///< mm: diameter, or width and height
  double hole = 0;      ///< mm
  int corners = 0;
  double turned = 0;                 ///< degrees, polygon
  std::vector<Ring> rings;           ///< about the origin; hole clockwise
  std::vector<struct Object> block;  ///< block aperture
  bool is_block = false;
  std::string function;  ///< X2 .AperFunction: "SMDPad", "ComponentPad", ...
  int line = 0;
};

/// One flash, draw, arc or region as put down.
struct Object {
  Patch patch;
  int line = 0;
  int aperture = 0;          ///< D code; 0 for regions
  std::optional<std::size_t> definition;  ///< of it, as it stood then: index into Drawing::definitions
  bool flash = false;        ///< of one aperture, not a draw or a region
  bool plain_flash = false;  ///< a standard aperture without hole, flashed
  double scale = 1;
  std::string component, pin;
};

struct Drawing {
  std::vector<Object> objects;
  std::vector<Aperture> definitions;
  std::map<int, std::size_t> apertures;  ///< D code to the last definition
  std::string function;
  Diagnostics warnings;

  void define(int code, Aperture aperture) {
    apertures[code] = definitions.size();
    definitions.push_back(std::move(aperture));
  }
};

/// A circle C, rectangle R, obround O or polygon P with `values` in units of `mm`; false if they do not make
/// one.
bool make_standard(Aperture& aperture, std::string_view name, const std::vector<double>& values, double mm,
                   double error);

/// Errors as read_gerber says.
Result<Drawing> read_drawing(std::string_view text, const std::string& file, const GerberLimits& limits,
                             double chord_error);

}  // namespace handlot::solder::gerber
