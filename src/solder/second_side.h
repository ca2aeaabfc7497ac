// second_side.h: what hangs under a board while its other side is reflowed, and what melts again.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/quantity.h"
#include "core/source.h"

namespace handlot::solder {

struct HangingPart {
  std::string part;
  std::optional<Grams> mass;
  std::optional<SquareMillimetres> joint_area;  ///< all its pads together
  bool glued = false;
  std::optional<int> heatings_allowed;
  Celsius liquidus{217};  ///< of the solder that holds it
};
struct SecondSideAnswer {
  enum class Kind { holds, may_fall, undecided, glued, stays_solid, too_many_heatings };
  std::string part;
  Kind kind = Kind::undecided;
  std::optional<double> load;  ///< g/mm2
  std::string text;
  Source source;
};
/// Mass that a molten joint carries, per pad area. From memory of a rule of thumb (30 g/in2).
double hanging_limit_g_per_mm2();
/// Every part of the first side while the second side goes through the oven with a peak of `peak`.
/// `heatings_before` counts the passes that the first side has already had.
std::vector<SecondSideAnswer> second_side(const std::vector<HangingPart>& first_side, Celsius peak,
                                          int heatings_before = 1);

}  // namespace handlot::solder
