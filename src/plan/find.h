// find.h: a resource of a work by its id.
#pragma once

#include <algorithm>

#include "plan/schedule.h"

namespace handlot::plan {

/// Null: the work has none of that id. Cost  resources.
inline const Resource* find_resource(const Work& work, const ResourceId& id) {
  const auto r = std::find_if(work.resources.begin(), work.resources.end(), [&](const Resource& one) { return one.id == id; });
  return r == work.resources.end() ? nullptr : &*r;
}

}  // namespace handlot::plan
