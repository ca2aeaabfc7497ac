// distance.h: how near two meshes are, whether they cross, whether one lies in the other.
#pragma once

#include <limits>
#include <memory>
#include <vector>

#include "shapes/assembly.h"
#include "shapes/blocking.h"

namespace handlot::shapes {

/// Boxes over the triangles of a placed mesh.
class TriangleTree {
 public:
  explicit TriangleTree(const Body& body);
  struct Node {
    Box box;
    std::uint32_t first = 0;  ///< leaf: first of order_; inner: the left child, the right one follows it
    std::uint32_t count = 0;  ///< leaf: how many; inner: 0
  };
  const std::vector<Node>& nodes() const { return nodes_; }
  const std::vector<std::uint32_t>& order() const { return order_; }
  const Body& body() const { return *body_; }

 private:
  const Body* body_;
  std::vector<Node> nodes_;
  std::vector<std::uint32_t> order_;
};

struct Nearest {
  double gap = std::numeric_limits<double>::infinity();  ///< mm; 0 when they cross or touch
  Vec3 on_a, on_b;
};

/// The smallest distance between two bodies when `a` is moved by `by` from its place. Not looked for beyond
/// `within`. Accuracy   1e-6 of the gap, beyond the deflections of both meshes.
Nearest nearest(const TriangleTree& a, const TriangleTree& b, const Placement& by,
                double within = std::numeric_limits<double>::infinity());

/// Two triangles that pass through each other.
struct Crossing {
  std::uint32_t triangle_a = 0, triangle_b = 0;
  Vec3 at;  ///< mm
};
/// Pairs of triangles that cross by more than `deeper_than` mm; touching is no crossing. At most `limit` of
/// them.
std::vector<Crossing> crossings(const TriangleTree& a, const TriangleTree& b, double deeper_than,
                                std::size_t limit);

/// Is the point inside the closed body? (rays in a direction without symmetry, counted)
bool inside(const TriangleTree& tree, Vec3 point);

/// How two parts stand to each other as far as meshes can tell.
enum class Meeting {
  apart,     ///< further apart than asked
  near,      ///< within reach, not crossing: touching or with a gap
  crossing,  ///< surfaces pass through each other, or may within the deflection: ask the solids
  within     ///< one wholly inside the material of the other
};
struct MeetingPair {
  std::size_t a = 0, b = 0;
  Meeting how = Meeting::apart;
  double gap = 0;  ///< mm, of the meshes; 0 when crossing or within
};
/// Crossings explained by a round part in a round hole of the same axis and no smaller radius are no
/// crossings.
MeetingPair meeting(const Scene& scene, std::size_t a, std::size_t b, double reach);
/// All pairs that are not apart, ordered.
std::vector<MeetingPair> meetings(const Scene& scene, double reach);

}  // namespace handlot::shapes
