// test_devices.h: two devices made up for the tests, from solids of a card.
#pragma once

#include <string>
#include <vector>

#include "geometry/device.h"

namespace handlot::testing {

using Plan = geometry::PlannedDevice;
using Device = geometry::Device;

/// 47 parts: a case, a board with components, a plate with motor, gears, pointer, pot and knob, lens and
/// bezel.
Plan counter_plan();
/// 14 parts: a box with a sliding lid, a drawer, dowels, a latch that goes in and then sideways.
Plan drawer_plan();
/// As many parts of the counter as asked, several devices beside each other where one is not enough.
Plan counters_plan(std::size_t parts);

/// Like the layer's, but a part that cannot be made is a fault of the test.
Device make_device(const Plan& plan, const geometry::Fineness& fineness = {},
                   const shapes::Cache& cache = shapes::Cache());

}  // namespace handlot::testing
