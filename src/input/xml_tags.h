// xml_tags.h: which tag of a broken file has no partner. Used by the XML reader only.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "core/diagnostic.h"

namespace handlot::input {

/// The first end tag that does not match the tag that is open there, or the tag that is open when the text ends, as a
/// fault of code xml-broken with both lines; empty when every tag has its partner.
///
/// Given    any text: comments, CDATA, declarations and quoted attributes are passed over.
/// Cost     linear.
std::optional<Diagnostic> unmatched_tag(std::string_view text, const std::string& path);

}  // namespace handlot::input
