// spared.h: what stays free of a coat: by the words of the step that puts it on, and by what a mask says that it covers.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "rules/rule.h"

namespace handlot::rules {

enum class Spared { nothing, something, this_face };

/// The phrases of title and actions that say what stays free of what the step puts on: "leave the pads free", "tape the socket",
/// "not on the rim". Lower case.
std::vector<std::string> left_free(const job::Step& coat);

/// The coat is laid round the part, as its words say.
bool spares(const Facts& facts, const job::Step& coat, const PartId& part);

/// Whether the words of the coat leave that face of `body` free that `later` glues, solders or sticks something on. The wiping and the
/// coats after the first go by the words of the first as well.
Spared spared_for(const Facts& facts, const job::Step& coat, const job::Step& later, const PartId& body);

/// The same of a step that masks. One that names nothing covers all: `nothing` is no fault then.
Spared masked_for(const Facts& facts, const job::Step& mask, const job::Step& later, const PartId& body);

/// The mask covers the part: it names it, or nothing else.
bool mask_covers(const Facts& facts, const job::Step& mask, const PartId& part);

}  // namespace handlot::rules
