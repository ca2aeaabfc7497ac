// assembly.h: the parts of a unit where they sit when it is finished, and what the builder declared about
// them.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/id.h"
#include "shapes/mesh.h"

namespace handlot::shapes {

/// Two parts about which the builder said something that geometry alone cannot know.
struct Declared {
  enum class Kind {
    press_fit,  ///< overlaps on purpose
    thread,     ///< screw and its nut, insert or tapped hole: flanks overlap in the model
    gears,      ///< teeth mesh; overlap and blocking along the teeth are not judged by solids
    bond,       ///< glued faces
    touching    ///< meant to touch
  };
  Kind kind = Kind::touching;
  PartId a, b;
};

/// One placed part of one unit (an instance: four equal screws are four parts).
struct Part {
  PartId id;
  std::string name;   ///< for call-outs; parts of one name are counted together
  std::string shape;  ///< parts with the same text share one mesh
  std::shared_ptr<const Mesh> mesh;
  Placement at;
  std::vector<Vec3> insert_along;  ///< declared directions of travel when it goes in; empty = to be found
  bool fastener = false;           ///< screws, nuts, pins, clips: go in after what they hold
  bool frame = false;              ///< the part the others are built into
  Grams mass;
};

/// Parts built together apart and put in as one body.
struct Subassembly {
  std::string id;
  std::vector<PartId> parts;
};

struct Assembly {
  std::vector<Part> parts;
  std::vector<Declared> declared;
  std::vector<Subassembly> subassemblies;
};

/// A mesh in the coordinates of the unit, ready to be asked.
struct Body {
  std::vector<Vec3> vertices;
  const Mesh* mesh = nullptr;  ///< triangles and faces
  Box box;
};

/// The assembly with every mesh moved to its place. Outlives nothing it points to: keep the meshes alive.
class Scene {
 public:
  explicit Scene(const Assembly& assembly);
  ~Scene();
  Scene(Scene&&) noexcept;
  Scene& operator=(Scene&&) noexcept;

  std::size_t size() const { return bodies_.size(); }
  const Body& body(std::size_t part) const { return bodies_[part]; }
  const Part& part(std::size_t part) const { return parts_[part]; }
  std::optional<std::size_t> find(const PartId& id) const;
  /// What was declared about the pair, if anything.
  std::optional<Declared::Kind> declared(std::size_t a, std::size_t b) const;
  /// The axis (unit) along which a threaded or pressed pair goes together, if it was declared and its round
  /// faces show one.
  std::optional<Vec3> joint_axis(std::size_t a, std::size_t b) const;
  /// Declared subassemblies by index of their parts; unknown ids are left out.
  struct Group {
    std::string id;
    std::vector<std::size_t> parts;
  };
  const std::vector<Group>& groups() const { return groups_; }
  const Box& box() const { return box_; }
  /// mm; the largest of the parts' deflections.
  double deflection() const { return deflection_; }
  /// "the lens", by name and, where several share it, id.
  std::string say(std::size_t part) const;

  /// Boxes over the triangles of a part, built when first asked (not from two threads).
  const class TriangleTree& tree(std::size_t part) const;
  /// Edges of a part's mesh, found when first asked and shared by parts of one mesh.
  const std::vector<struct MeshEdge>& edges(std::size_t part) const;

 private:
  std::vector<Part> parts_;
  std::vector<Body> bodies_;
  std::vector<std::pair<std::pair<std::size_t, std::size_t>, Declared::Kind>> declared_;
  std::vector<std::pair<std::pair<std::size_t, std::size_t>, Vec3>> axes_;
  std::vector<Group> groups_;
  Box box_;
  double deflection_ = 0;
  mutable std::vector<std::unique_ptr<class TriangleTree>> trees_;
  mutable std::map<const Mesh*, std::vector<struct MeshEdge>> edges_;
};

/// Mass and centre of the parts of a unit as built so far. Parts without mass are listed, not counted.
struct Weight {
  Grams mass;
  Vec3 centre;  ///< mm; of the parts that have a mass
  std::vector<PartId> without_mass;
};
Weight weight(const Assembly& assembly, const std::vector<PartId>& installed);

}  // namespace handlot::shapes
