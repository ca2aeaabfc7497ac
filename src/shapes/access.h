// access.h: can the tool get at it, with what is in at that moment?
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/id.h"
#include "shapes/blocking.h"

namespace handlot::shapes {

/// A stretch of a tool along its axis, counted from the tip. Round (`width` = diameter, `depth` = 0) or a
/// rectangle.
struct ToolStretch {
  Millimetres from, to;
  Millimetres width, depth;
  Millimetres beside{0};  ///< the middle of a rectangle stands so far off the axis: the arm of an L-key
};
/// A driver, iron, nozzle, tweezers or clamp as a solid along an axis. It comes in along that axis, so each
/// stretch needs its room from where it ends up to the outside.
struct Tool {
  std::string id;
  std::vector<ToolStretch> stretches;
  Degrees may_lean{0};      ///< how far the axis may lean and still work; 0 = straight only
  Millimetres margin{0.5};  ///< room wanted beside it; less is "tight"
  std::vector<ToolStretch> turned_round{};  ///< of a tool that works with its other end too; empty: it does not
};

/// Where the tip works, and the way the tool points away from the work (unit, outwards).
struct Spot {
  Vec3 at;  ///< mm
  Vec3 axis;
};

struct Access {
  enum class Verdict { free, tight, blocked };
  Verdict verdict = Verdict::free;
  Millimetres room;             ///< beside the tool at its narrowest; negative = by how much it does not fit
  Millimetres error;            ///< of `room`
  Millimetres height;           ///< above the tip, of the narrowest place
  Degrees lean{0};              ///< how the best attempt leaned
  std::vector<std::size_t> by;  ///< what blocks, or what makes it tight, the worst first
};

/// `installed`: what is in at that moment. `work`: parts that the tool is meant to touch, not judged.
/// Flat tools and arms are tried at twelve turns about their axis, L-keys with either end, leaning ones to 8 sides at 15, 30 and 45 degrees.
/// Cost   about 0.1 ms an attempt.
Access access(const Scene& scene, const Tool& tool, const Spot& spot, const PartSet& installed,
              const PartSet& work);

/// For each way of holding the tool (straight, leaning, turned about its axis), the parts of `parts` in its way.
/// A tool that may lean is blocked only when every way is; one part alone need not block it.
std::vector<PartSet> in_the_way_of(const Scene& scene, const Tool& tool, const Spot& spot, const PartSet& parts,
                                   const PartSet& work);

/// The last index i of `states` (what is in before arrival i) where one of the ways is open; none = nowhere.
/// Given  `ways` of in_the_way_of, with all that is in any of the states.
std::optional<std::size_t> last_access(const std::vector<PartSet>& ways, const std::vector<PartSet>& states);

/// A part that a tool must reach when it goes in.
struct Reached {
  std::size_t part = 0;
  Tool tool;
  Spot spot;
};
/// (a, b) for OrderRules::before: what blocks the tool for `a` in the finished unit has to come after it.
/// More parts never give more room, so what blocks at the end blocks as soon as it is in.
std::vector<std::pair<std::size_t, std::size_t>> access_first(const Scene& scene,
                                                              const std::vector<Reached>& reached);

/// The head of a fastener: the end of its axis where the larger radius is, pointing outwards.
/// None when the part has no round face to tell.
std::optional<Spot> head_of(const Scene& scene, std::size_t fastener);

/// "free", "tight: 0.3 mm beside the case at 12 mm above the head", "blocked by the front plate at 26 mm".
std::string say(const Scene& scene, const Access& access);

}  // namespace handlot::shapes
