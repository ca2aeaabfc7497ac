// part_words.h: what the builder calls a part, for rules that listen to it.
#pragma once

#include <string>
#include <string_view>

#include "rules/rule.h"

namespace handlot::rules {

/// Its own name, else its id, and the name of its card, in lower case, with " ; " between them. Of a subassembly: nothing.
std::string both_names(const Facts& facts, const PartId& part);

/// The word stands in the text by itself, in the singular or the plural: "terminal" and "terminals", "batteries" and "battery", not
/// "terminate". Lower case.
bool says_noun(std::string_view noun, std::string_view text);

/// The words name the part or subassembly: in full, or by the last word of its name, in the singular or the plural. Words in lower case.
bool names_part(const Facts& facts, std::string_view words, const PartId& part);

}  // namespace handlot::rules
