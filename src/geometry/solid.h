// solid.h: a true solid, its mesh and its amounts. The solid kernel stays behind this header.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "shapes/assembly.h"
#include "shapes/cache.h"
#include "shapes/mesh.h"
#include "shapes/solid_tree.h"

namespace handlot::geometry {

/// How finely curved faces are cut into triangles.
struct Fineness {
  double linear = 0.02;   ///< mm, from the true surface
  double angular = 0.35;  ///< radians between neighbours
};

/// A solid. Copies share it. The kernel's form is made when first needed: with a warm cache a mesh and its
/// amounts are had without it. Not to be asked from two threads at once.
class Solid {
 public:
  Solid();
  ~Solid();
  Solid(const Solid&);
  Solid(Solid&&) noexcept;
  Solid& operator=(const Solid&);
  Solid& operator=(Solid&&) noexcept;

  /// The same text for the same solid, whoever made it.
  const std::string& key() const;
  /// Never null. Triangles share vertices across faces; deflection is that of the fineness asked.
  std::shared_ptr<const shapes::Mesh> mesh() const;
  /// Accuracy   volume to 1e-6 relative (adaptive integration); the mesh's own volume is compared.
  shapes::Amounts amounts() const;

  struct State;  ///< the kernel's side, see kernel.h
  State& state() const { return *state_; }
  explicit Solid(std::shared_ptr<State> state);

 private:
  std::shared_ptr<State> state_;
};

/// The solid of a tree.
/// Errors   those of shapes::faults; shape-not-solid (the kernel finds no valid closed solid), shape-empty
/// (nothing is
///          left), shape-in-pieces (the tree gives several loose bodies).
Result<Solid> make_solid(const shapes::SolidTree& tree, const Fineness& fineness = {},
                         const shapes::Cache& cache = shapes::Cache());

/// A solid from the bytes that handlot-step hands over.
/// Errors   shape-not-solid.
Result<Solid> solid_from_bytes(std::string bytes, const Fineness& fineness = {},
                               const shapes::Cache& cache = shapes::Cache());
/// Those bytes.
std::string to_bytes(const Solid& solid);

/// The fineness that suits an assembly of this size: 2e-4 of the diagonal, between 0.01 and 0.05 mm.
Fineness fineness_for(Millimetres diagonal);

/// A part with its mesh, ready for an assembly.
shapes::Part part(PartId id, std::string name, const Solid& solid, const shapes::Placement& at);

}  // namespace handlot::geometry
