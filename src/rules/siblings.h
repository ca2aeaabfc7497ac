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

/// The innermost subassembly around a part or subassembly; empty: the device itself.
PartId holder_of(const Facts& facts, const PartId& id);
/// The body that a step works on by its `on`: a subassembly itself, or the one that holds the part.
PartId level_of(const Facts& facts, const job::Step& step);

/// The modelled parts and subassemblies that make up `inside` (empty: the device itself).
/// Given    facts.device is there.
std::vector<Sibling> siblings(const Facts& facts, const PartId& inside);

}  // namespace handlot::rules
