// fasteners.h: what a screw goes through, read off the shapes. Whether that is enough: joints/screws.h.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/quantity.h"
#include "shapes/blocking.h"

namespace handlot::shapes {

/// A part along the axis of a screw. Heights are counted from the seat of the head, downwards; mm.
struct Layer {
  std::size_t part = 0;
  Millimetres from, to;
  Millimetres hole;       ///< diameter of its narrowest hole here; 0 = none, the screw would have to make one
  bool threaded = false;  ///< declared as threaded with the screw
};

///      head
///   ==========  0
///     |    |    layers that are clamped
///     |    |
///     |    |    the layer with the thread
///      \__/     tip = length
///               room to the next part
struct ScrewSituation {
  Millimetres diameter;             ///< of the shank
  Millimetres head;                 ///< diameter
  Millimetres length;               ///< seat to tip
  std::vector<Layer> layers;        ///< along the axis, from the head
  bool threaded = false;            ///< a thread was found; grip to sticks_out say nothing without one
  Millimetres grip;                 ///< seat to the beginning of the thread
  Millimetres engaged;              ///< thread shared
  Millimetres thread_depth;         ///< of the threaded layer
  Millimetres sticks_out;           ///< tip beyond the threaded layer; negative = short of its end
  /// Without a thread: tip to the part declared as threaded with it, ahead of it; none = it does not lie there.
  std::optional<Millimetres> short_of;
  bool short_of_hole = false;       ///< that part has a round hole on the axis there
  /// Tip to the next material along the axis; negative: it would have to be so far in it; none = nothing there.
  std::optional<Millimetres> room;
  std::size_t room_to = 0;          ///< that thing, where there is one
  Millimetres unsupported;          ///< gaps between the clamped layers, which tightening would close or bend
  bool head_seated = false;         ///< the first layer carries the head all round
  bool sunk = false;                ///< the head is a cone: heights are counted from its upper rim
  Vec3 seat, down;                  ///< mm, on the axis; unit, from head to tip
};

/// None when the part has no round shank with a head. A thread is no deeper than the hole it is cut in.
/// Accuracy   flat layers exactly; holes by their cylinders; what is not round is seen by a ray a little off
/// the axis.
std::optional<ScrewSituation> screw_situation(const Scene& scene, std::size_t screw,
                                              const PartSet& installed);

/// A round hole of a part, all the way round, that runs the way of a screw.
struct RoundHole {
  Vec3 middle;           ///< mm, on its axis
  Millimetres diameter;
  Millimetres beside;    ///< of its axis and the screw's
  bool below = false;    ///< some of it lies deeper than the seat
};
/// Holes of different diameters on one axis are several. A fillet is no hole.
std::vector<RoundHole> holes_along(const Scene& scene, std::size_t part, const ScrewSituation& screw);

/// What is worth saying about it, without judging strength: no thread found, head not seated, a layer without
/// a hole, a hole smaller than the shank, layers that do not touch, a tip that runs into something.
std::vector<std::string> doubts(const Scene& scene, std::size_t screw, const ScrewSituation& situation);

}  // namespace handlot::shapes
