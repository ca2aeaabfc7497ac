// hidden_lines.h: which edges of which parts are seen from where.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "shapes/assembly.h"
#include "shapes/solid_tree.h"

namespace handlot::shapes {

/// Looking at the scene: x to the right, y up on paper, z towards the eye.
struct View {
  Placement to_view;
};
/// Seen from `towards_eye` (unit, any but straight up or down), with +z of the scene up on paper.
View seen_from(Vec3 towards_eye);

/// An edge of a mesh with the triangles on both sides; `right` = `left` where there is only one.
struct MeshEdge {
  std::uint32_t from, to;  ///< as `left` runs along it
  std::uint32_t left, right;
  bool sharp;
};
/// Every edge once, in the order in which the triangles first name it.
std::vector<MeshEdge> edges_of(const Mesh& mesh);

/// A body as it is drawn: at its place, or set off from it.
struct Drawn {
  const Body* body = nullptr;
  const std::vector<MeshEdge>* edges = nullptr;
  Vec3 shift;  ///< mm
};

/// A visible piece of an edge, on paper, mm at scale 1.
struct SeenLine {
  Point2 from, to;
  std::size_t drawn = 0;  ///< index into what was given
  bool outline = false;   ///< the body ends here as seen from the eye
};
/// Method     every edge piece is clipped against the triangles before it, exactly; surfaces nearer than
/// `hide` mm before
///            an edge do not hide it (touching parts, facets).
/// Cost       47 parts with 20 000 triangles about 15 ms.
std::vector<SeenLine> seen_lines(std::span<const Drawn> what, const View& view, double hide = 0.06);

/// The rim of what a body shows to the eye, as closed runs to be filled by the non-zero rule.
std::vector<Polygon> shadow(const Drawn& what, const View& view);

/// Pieces joined end to end into runs; order and result depend on the input alone.
std::vector<Polygon> chained(std::span<const SeenLine> lines, double within = 1e-3);

}  // namespace handlot::shapes
