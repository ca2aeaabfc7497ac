// step_program.h: the two things that handlot-step does. It runs apart, so that a hostile file can only take
// itself down.
#pragma once

#include <cstddef>
#include <string>

#include "geometry/step_bundle.h"

namespace handlot::step_reader {

struct Request {
  std::string path;
  std::string folder;  ///< references may not leave it; empty = the folder of the file
  std::size_t faces = 200000;
  bool numbers_are_mm = false;  ///< whatever unit the file declares
};

/// Reads a STEP file. What is wrong is in `said`; solids only when nothing is.
geometry::StepBundle read(const Request& request);

/// Writes the solids of a bundle as one product or as an assembly. Empty = done, else what went wrong.
std::string write(const geometry::StepBundle& bundle, const std::string& path);

}  // namespace handlot::step_reader
