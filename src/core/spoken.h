// spoken.h: an id as people read it.
#pragma once

#include <string>
#include <string_view>

namespace handlot {

/// What stands on sheet and pages where nothing was given a name: "hot-air" is "hot air".
std::string spoken(std::string_view id);

}  // namespace handlot
