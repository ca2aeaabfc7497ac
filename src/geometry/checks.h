// checks.h: what two solids do to each other: overlap, gap, contact.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/solid.h"
#include "shapes/assembly.h"
#include "shapes/distance.h"

namespace handlot::geometry {

/// What counts as overlap. Touching is not interference.
struct InterferenceRules {
  CubicMillimetres least_volume{1e-3};
  Millimetres least_depth{0.005};  ///< mean thickness of what they share
  std::size_t exact = 2000;  ///< pairs intersected exactly at most; what is left is listed as not checked
};

struct Overlap {
  std::size_t a = 0, b = 0;
  enum class Kind {
    overlap,    ///< they share space and nobody said so
    within,     ///< one lies wholly in the material of the other
    press_fit,  ///< declared
    thread,     ///< declared
    gears       ///< declared
  };
  Kind kind = Kind::overlap;
  CubicMillimetres volume;  ///< 0 for threads and gears, which are declared and not measured
  Millimetres depth;        ///< a shift by so much frees them, upper bound of the least one (interference); 0 = not had
  shapes::Vec3 where;       ///< mm, the middle of what they share; of several pieces, that of the largest
  CubicMillimetres error;   ///< of the volume
};
struct Interference {
  std::vector<Overlap> overlaps;  ///< ordered by parts; declared ones too
  std::vector<std::pair<std::size_t, std::size_t>> not_checked;
  std::vector<shapes::MeetingPair> meetings;  ///< all pairs within 0.2 mm
};
/// `solids[i]` is the solid of scene part i.
/// Method   meshes clear most pairs, the others are intersected. Depth: along axes, flat faces and principal axes (checks.cpp).
/// Cost     about 20 ms for each pair that meshes cannot clear, ten times that if they overlap; kept in the cache by content.
Interference interference(const shapes::Scene& scene, const std::vector<Solid>& solids,
                          const InterferenceRules& rules = {}, const shapes::Cache& cache = shapes::Cache());
/// "the lens and the bezel share 29.45 mm3, 0.3 mm deep, at (12, 0, 31)".
std::string say(const shapes::Scene& scene, const Overlap& overlap);

struct Clearance {
  Millimetres gap;  ///< 0 = they touch or overlap
  Millimetres error;
  shapes::Vec3 on_a, on_b;
};
/// The exact smallest distance of two parts.
Result<Clearance> clearance(const shapes::Scene& scene, const std::vector<Solid>& solids, std::size_t a,
                            std::size_t b);

struct Contact {
  SquareMillimetres area;
  double error = 0;                 ///< relative
  Millimetres least_gap, most_gap;  ///< over the area; negative = overlap
  shapes::Vec3 middle;              ///< mm
  shapes::Vec3 normal;              ///< unit, from a to b, mean over the area
  std::size_t faces = 0;            ///< pairs of faces that face each other
};
/// The faces of two parts that lie opposite each other within `gap`: the bond area.
/// Accuracy   plane on plane to machine precision; round on round within 0.2 %.
Result<Contact> contact(const shapes::Scene& scene, const std::vector<Solid>& solids, std::size_t a,
                        std::size_t b, Millimetres gap = Millimetres(0.05));

}  // namespace handlot::geometry
