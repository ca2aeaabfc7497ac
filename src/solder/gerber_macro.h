// gerber_macro.h: aperture macros: expressions and primitives. Used by the Gerber reader only.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "core/diagnostic.h"
#include "solder/gerber_geometry.h"

namespace handlot::solder::gerber {

/// A macro as written: its statements, each without the closing '*'.
struct Macro {
  std::vector<std::string> statements;
  int line = 0;
};

/// Value of an expression such as "$1x0.5-(2/$3)". Errors: gerber-macro-expression.
Result<double> evaluate(std::string_view expression, const std::map<int, double>& variables,
                        const Place& place);

/// Rings of the macro's shape in millimetres about its origin.
/// Errors: gerber-macro-expression, gerber-bad-macro.
Result<std::vector<Ring>> shape_of(const Macro& macro, std::vector<double> arguments, double mm_per_unit,
                                   double error, const std::string& file);

}  // namespace handlot::solder::gerber
