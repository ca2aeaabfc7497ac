#include "solder/second_side.h"

#include <fmt/format.h>

#include "core/text.h"

namespace handlot::solder {

double hanging_limit_g_per_mm2() {
  return 30.0 / (25.4 * 25.4);
}

namespace {

SecondSideAnswer answer_one(const HangingPart& part, Celsius peak, int heatings_before) {
  using Kind = SecondSideAnswer::Kind;
  SecondSideAnswer a;
  a.part = part.part;
  a.source = {"HANG30", "30 g per square inch of joint", Standing::memory};
  if (part.heatings_allowed && heatings_before + 1 > *part.heatings_allowed) {
    a.kind = Kind::too_many_heatings;
    a.text = fmt::format("{} bears {}, and this would be number {}", part.part,
                         counted(*part.heatings_allowed, "heating", "heatings"), heatings_before + 1);
    a.source = {};
    return a;
  }
  if (peak < part.liquidus) {
    a.kind = Kind::stays_solid;
    a.text = fmt::format("the solder of {} melts at {} degC and stays solid at {} degC", part.part,
                         number(part.liquidus.value), number(peak.value));
    return a;
  }
  if (part.glued) {
    a.kind = Kind::glued;
    a.text = fmt::format("{} melts again and is held by its glue: see that the glue bears {} degC", part.part,
                         number(peak.value));
    return a;
  }
  if (!part.mass || !part.joint_area || part.joint_area->value <= 0) {
    a.kind = Kind::undecided;
    a.text =
        fmt::format("{} melts again; missing: its {}", part.part,
                    !part.mass ? (part.joint_area ? "mass" : "mass and the area of its pads") : "pads' area");
    return a;
  }
  a.load = part.mass->value / part.joint_area->value;
  const bool holds = *a.load <= hanging_limit_g_per_mm2();
  a.kind = holds ? Kind::holds : Kind::may_fall;
  a.text = fmt::format("{} melts again and hangs by {} mg/mm2 of joint, {} the limit of {}: {}", part.part,
                       number(*a.load * 1000, 1), holds ? "under" : "over",
                       number(hanging_limit_g_per_mm2() * 1000, 1),
                       holds ? "it holds" : "glue it, or reflow this side last");
  return a;
}

}  // namespace

std::vector<SecondSideAnswer> second_side(const std::vector<HangingPart>& first_side, Celsius peak,
                                          int heatings_before) {
  std::vector<SecondSideAnswer> all;
  for (const HangingPart& part : first_side) all.push_back(answer_one(part, peak, heatings_before));
  return all;
}

}  // namespace handlot::solder
