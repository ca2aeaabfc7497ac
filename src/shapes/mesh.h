// mesh.h: the boundary of a solid as triangles. Everything about order, access and pictures works on these.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "shapes/vec.h"

namespace handlot::shapes {

/// What kind of surface a face lies on. `axis` is the plane's outward normal or the axis of turning.
struct Surface {
  enum class Kind : std::uint8_t { plane, cylinder, cone, sphere, torus, other };
  Kind kind = Kind::other;
  Vec3 point;           ///< mm, on the plane, on the axis, or the centre
  Vec3 axis;            ///< unit
  double radius = 0;    ///< mm; cylinder, sphere, torus (major), cone (at `point`)
  bool hollow = false;  ///< material outside the radius: a hole, a socket
};

/// A closed surface of triangles, counter-clockwise seen from outside, vertices shared between faces.
/// Units: millimetres. Curved faces differ from the true surface by at most `deflection`.
struct Mesh {
  std::vector<Vec3> vertices;
  std::vector<std::array<std::uint32_t, 3>> triangles;
  std::vector<std::uint32_t> face_of;  ///< per triangle, index into `faces`
  std::vector<Surface> faces;
  std::vector<std::array<std::uint32_t, 2>> sharp;  ///< pieces of edges where two faces meet at an angle
  double deflection = 0;                            ///< mm; 0 = every face is flat and exact
};

/// Amounts of a solid. `error` is relative and holds for volume.
struct Amounts {
  CubicMillimetres volume;
  SquareMillimetres surface;
  Vec3 centre;  ///< mm, of the volume
  double error = 0;
};

/// Given    a closed mesh. Accuracy: exact for flat faces; curved faces err with their deflection.
Amounts amounts(const Mesh& mesh);

Grams mass(CubicMillimetres volume, GramsPerCubicCentimetre density);

Box box_of(const Mesh& mesh);

/// Vertices closer than `within` mm become one, triangles that collapse go. Sharp edges are kept.
Mesh welded(Mesh mesh, double within = 1e-6);

/// Why a mesh is not the boundary of a solid, in words; empty when it is one.
std::string fault(const Mesh& mesh);

/// A mesh as bytes for the cache and back. `from_bytes` gives an error for anything it did not write itself.
std::string to_bytes(const Mesh& mesh);
Result<Mesh> mesh_from_bytes(std::string_view bytes);

}  // namespace handlot::shapes
