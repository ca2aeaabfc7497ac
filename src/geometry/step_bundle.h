// step_bundle.h: what passes between the library and the STEP program, as bytes.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "shapes/vec.h"

namespace handlot::geometry {

struct BundledSolid {
  std::string name, instance, path;
  std::size_t shape = 0;
  shapes::Placement at;
  std::optional<std::array<double, 3>> colour;
  std::optional<double> stated_volume;  ///< mm3
};
struct StepBundle {
  std::string name;  ///< of the whole
  std::string unit, schema;
  Diagnostics said;  ///< errors and warnings, without a place
  std::vector<BundledSolid> solids;
  std::vector<std::string> shapes;  ///< kernel bytes
};

/// One fact a line, fields parted by tabs; shapes as a length and that many bytes; "end" last.
std::string to_bytes(const StepBundle& bundle);
/// Errors   step-garbled: anything that to_bytes did not write.
Result<StepBundle> bundle_from_bytes(std::string_view bytes);

}  // namespace handlot::geometry
