// device.h: all parts of a unit made and placed, ready for the questions of shapes and geometry.
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "geometry/solid.h"
#include "shapes/assembly.h"

namespace handlot::geometry {

/// A part as a job gives it: where its solid comes from, where it goes, what was declared about it.
struct PlannedPart {
  PartId id;
  std::string name;                              ///< for call-outs; equal parts share it
  std::variant<shapes::SolidTree, Solid> solid;  ///< of a card, or of a STEP file already read
  shapes::Placement at;
  GramsPerCubicCentimetre density;  ///< 0 = not known; the part then has no mass
  Grams mass;                       ///< weighed or bought; stands before the density
  std::vector<shapes::Vec3> insert_along;
  bool fastener = false;
  bool frame = false;
};
struct PlannedDevice {
  std::vector<PlannedPart> parts;
  std::vector<shapes::Declared> declared;
  std::vector<shapes::Subassembly> subassemblies;
};

/// A part without a sound solid, and everything wrong with it. No check speaks of it.
struct LeftOut {
  PartId part;
  Diagnostics why;
};

/// `solids[i]` is that of assembly.parts[i].
struct Device {
  shapes::Assembly assembly;
  std::vector<Solid> solids;
  std::vector<LeftOut> left_out;
};

/// Each different tree is made once. A part whose solid cannot be made is left out and named; the others
/// stand. Cost   10 to 40 ms a different solid; with a warm cache 0.1 ms.
Device make_device(const PlannedDevice& plan, const Fineness& fineness = {},
                   const shapes::Cache& cache = shapes::Cache());

}  // namespace handlot::geometry
