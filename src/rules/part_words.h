// part_words.h: what the builder calls a part, for rules that listen to it.
#pragma once

#include <string>

#include "rules/rule.h"

namespace handlot::rules {

/// Its own name, else its id, and the name of its card, in lower case, with " ; " between them. Of a subassembly: nothing.
std::string both_names(const Facts& facts, const PartId& part);

}  // namespace handlot::rules
