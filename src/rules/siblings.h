// siblings.h: the bodies that are put together at one level: parts and whole subassemblies.
#pragma once

#include <vector>

#include "bodies/device.h"
#include "rules/rule.h"

namespace handlot::rules {

struct Sibling {
  PartId id;
  shapes::PartSet bodies;
  const job::Step* step = nullptr;  ///< that puts it in; null = there from the start
};

/// The modelled parts and subassemblies that make up `inside` (empty: the device itself).
/// Given    facts.device is there.
std::vector<Sibling> siblings(const Facts& facts, const PartId& inside);

}  // namespace handlot::rules
