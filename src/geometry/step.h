// step.h: STEP files, read and written by a program of their own.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "core/diagnostic.h"
#include "geometry/solid.h"
#include "shapes/vec.h"

namespace handlot::geometry {

struct StepLimits {
  int seconds = 20;      ///< processor time
  int memory_mb = 2000;  ///< address space
  std::size_t faces = 200000;
  /// The numbers of the file are mm, whatever unit it declares. For a file that was asked about
  /// (step-unit-doubtful).
  bool numbers_are_mm = false;
  /// The program; empty = handlot-step beside the running one.
  std::string program;
  /// The folder that references to other files may not leave; empty = the folder of the file.
  std::string folder;
};

struct StepSolid {
  std::string name;                             ///< of the product
  std::string instance;                         ///< of this use of it, where the file has one
  std::string path;                             ///< names from the top, "/" between
  shapes::Placement at;                         ///< in the file's assembly
  std::optional<std::array<double, 3>> colour;  ///< red, green, blue, 0 to 1
  std::size_t shape = 0;                        ///< index into StepModel::shapes; instances share one
  /// mm3, as the sending system wrote it into the file (only read from files in mm).
  std::optional<CubicMillimetres> stated_volume;
};
struct StepModel {
  std::string unit;  ///< declared length unit, "mm", "inch", "m"; empty = not said
  std::string schema;
  std::vector<StepSolid> solids;
  std::vector<Solid> shapes;
  Diagnostics warnings;  ///< unit doubtful, names missing, leaves without a solid, ...
};
/// Errors   step-unreadable (syntax, with the line where known), step-broken (entities that the shapes need,
/// by number),
///          step-empty, step-tessellated, step-open, step-too-large, step-time, step-memory, step-crashed,
///          step-outside (refers to a file outside the folder), step-no-program.
Result<StepModel> read_step(const std::string& path, const StepLimits& limits = {},
                            const Fineness& fineness = {}, const shapes::Cache& cache = shapes::Cache());

struct StepPart {
  std::string name;
  Solid solid;
  shapes::Placement at;
  std::optional<std::array<double, 3>> colour;
};
/// AP214, millimetres; one part: a single product, several: an assembly named `name`.
/// Errors   step-not-written.
Result<std::monostate> write_step(const std::string& path, const std::string& name,
                                  const std::vector<StepPart>& parts, const StepLimits& limits = {});

/// What a job asks of a file, and what in it was taken to be meant.
struct WantedSolid {
  std::string name;  ///< of the part
  std::optional<CubicMillimetres> volume;
  std::optional<shapes::Vec3> centre;  ///< mm
};
struct MatchedSolid {
  std::optional<std::size_t> solid;  ///< index into StepModel::solids
  enum class By { name, volume, centre, nothing } by = By::nothing;
  std::string text;  ///< said when guessed or when two are alike
};
/// By name (without case, blanks and instance numbers), then by volume within 1e-4, then by centre within 0.1
/// mm.
std::vector<MatchedSolid> match(const StepModel& model, const std::vector<WantedSolid>& wanted);

}  // namespace handlot::geometry
