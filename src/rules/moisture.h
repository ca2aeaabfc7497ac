// moisture.h: floor life of the parts that go through the oven, as the moisture rule and the finished plan see it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "rules/rule.h"
#include "solder/moisture.h"

namespace handlot::rules {

/// A part that lies in the room from the beginning of the lot: no step starts its clock.
struct OpenClock {
  PartId part;
  std::string name;
  Duration left{0};
  std::vector<StepId> placings, ovens;
  std::string clock;  ///< as the links call it: "floor life of 'driver' (level 3)"
  std::string text;  ///< "'driver' (level 3): 100 h of 7 d used, 68 h left"
  std::string mend;
  Source source;
  Place place;
};
std::optional<OpenClock> open_clock(const Facts& facts, const job::Part& part);

}  // namespace handlot::rules
