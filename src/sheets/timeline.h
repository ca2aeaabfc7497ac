// timeline.h: the lot's time line as a drawing: hands, stations and clocks, a strip a day.
#pragma once

#include <string>
#include <vector>

#include "sheets/view.h"

namespace handlot::sheets {

struct Drawing {
  std::string svg;  ///< black on white; 178 mm wide at its natural size
  std::string alt;  ///< what it shows, in words
};

/// One drawing for each day on which something is begun or somebody has to be there; days apart show no empty
/// strips.
///
///   Thu 26 Nov   8    9    10   11 ...
///   hands       [120][130]   [140]
///   oven             [////130////]
///   clocks      120 =================>   until Fri 27 Nov 14:20
///
/// Returns  none when nothing is scheduled. Time stands in the plan's zone; night hours without work are left
/// out.
std::vector<Drawing> timeline(const View& view);

/// How to read it, for the line above the drawings.
std::string timeline_key();

}  // namespace handlot::sheets
