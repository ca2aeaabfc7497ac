// kernel.h: the kernel's side of a solid; for the .cpp files of this layer and the STEP program only.
#pragma once

#include <TopoDS_Shape.hxx>
#include <gp_Trsf.hxx>

#include "geometry/solid.h"

namespace handlot::geometry {

/// Exactly one of `tree` and `bytes` tells where the solid comes from.
struct Solid::State {
  std::string key;
  std::optional<shapes::SolidTree> tree;
  std::string bytes;
  Fineness fineness;
  shapes::Cache cache;

  TopoDS_Shape shape;  ///< null until needed
  std::shared_ptr<const shapes::Mesh> mesh;
  std::optional<shapes::Amounts> amounts;
};

/// The solid in its own coordinates. Never null for a Solid that make_solid or solid_from_bytes gave.
const TopoDS_Shape& shape_of(const Solid& solid);
/// The solid where the scene has it.
TopoDS_Shape placed(const Solid& solid, const shapes::Placement& at);
gp_Trsf kernel_placement(const shapes::Placement& at);

/// The tree in the kernel's form; null shape and `why` filled when the kernel refuses.
TopoDS_Shape build(const shapes::SolidTree& tree, std::string& why);

/// Why a shape is no single valid solid of positive volume, in words and with the code; empty code when it is
/// one.
struct SolidFault {
  std::string code, text;
};
SolidFault solid_fault(const TopoDS_Shape& shape);

shapes::Mesh mesh_of(const TopoDS_Shape& shape, const Fineness& fineness);
shapes::Amounts amounts_of(const TopoDS_Shape& shape);
std::string bytes_of(const TopoDS_Shape& shape);
/// Null when the bytes are not a shape.
TopoDS_Shape shape_from(const std::string& bytes);

}  // namespace handlot::geometry
