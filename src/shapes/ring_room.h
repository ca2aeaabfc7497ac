// ring_room.h: the room that a ring of rubber finds where it lies, read off the shapes beside it.
#pragma once

#include <optional>

#include "core/quantity.h"
#include "shapes/assembly.h"

namespace handlot::shapes {

///        around
///     | +------+ |
///  below|cord  |above      the section of the ring, its axis from left to right
///     | +------+ |
///        within
struct RingRoom {
  Millimetres inner, outer, height;  ///< of the ring as it is drawn
  /// What stands beside the ring on one side, and how far from the middle of its section.
  struct Side {
    std::size_t part = 0;
    Millimetres away;
  };
  std::optional<Side> below, above;    ///< along the axis; none: nothing within reach
  std::optional<Side> within, around;  ///< towards the axis and away from it
  Millimetres floor;                   ///< diameter of what it lies round; 0: nothing
};

/// None when the part is no round ring (of a square section, or a torus), or its section lies in something.
/// Units      reach in mm, from the middle of the section.
/// Accuracy   along the axis that of flat faces, by eight lines about it, of which the middle one counts; across by round walls, exact.
std::optional<RingRoom> ring_room(const Scene& scene, std::size_t ring, Millimetres reach);

}  // namespace handlot::shapes
