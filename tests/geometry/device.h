// device.h: two devices made up for the tests, from solids of a card.
#pragma once

#include <string>
#include <vector>

#include "geometry/solid.h"
#include "shapes/assembly.h"

namespace handlot::testing {

/// A part to be made: what it is, where it goes.
struct Planned {
  std::string id, name;
  shapes::SolidTree tree;
  shapes::Placement at;
  bool fastener = false;
  bool frame = false;
};

struct Plan {
  std::vector<Planned> parts;
  std::vector<shapes::Declared> declared;
};

struct Device {
  shapes::Assembly assembly;
  std::vector<geometry::Solid> solids;
};

/// 47 parts: a case, a board with components, a plate with motor, gears, pointer, pot and knob, lens and bezel.
Plan counter_plan();
/// 14 parts: a box with a sliding lid, a drawer, dowels, a latch that goes in and then sideways.
Plan drawer_plan();
/// As many parts of the counter as asked, several devices beside each other where one is not enough.
Plan counters_plan(std::size_t parts);

/// Makes each different solid once.
Device make_device(const Plan& plan, const geometry::Fineness& fineness = {},
                   const shapes::Cache& cache = shapes::Cache());

}  // namespace handlot::testing
