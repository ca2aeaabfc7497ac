// stepping.h: the slow, independent way to see whether one solid blocks another: move it in steps and
// intersect exactly.
#pragma once

#include "geometry/solid.h"
#include "shapes/assembly.h"

namespace handlot::testing {

struct Stepped {
  bool blocked = false;
  double at = 0;      ///< mm travelled when they first overlap
  double volume = 0;  ///< mm3 shared there
};

/// Steps are half of what both walls are thick together (twice volume over surface), at least 0.2 mm, the
/// first 0.05 mm.
Stepped blocked_by_steps(const shapes::Scene& scene, const std::vector<geometry::Solid>& solids,
                         std::size_t part, std::size_t blocker, shapes::Vec3 along);

/// Pairs that share space where they are cannot be judged by motion.
bool overlap_now(const shapes::Scene& scene, const std::vector<geometry::Solid>& solids, std::size_t a,
                 std::size_t b);

/// Do the boxes of the two meet while the first moves to infinity?
bool swept_boxes_meet(const shapes::Scene& scene, std::size_t part, std::size_t blocker, shapes::Vec3 along);

}  // namespace handlot::testing
