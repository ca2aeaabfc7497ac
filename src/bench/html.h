// html.h: small helpers to write HTML that cannot be broken by what people typed.
#pragma once

#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>

namespace handlot::bench {

/// For text and for attribute values in double quotes.
std::string esc(std::string_view text);

/// A fresh id for a form: the line it writes is applied once, however often it is sent.
std::string form_id();

using Fields = std::initializer_list<std::pair<std::string_view, std::string>>;

/// A form that writes to the record. `inside` comes before the button and is HTML already.
std::string form(std::string_view act, Fields hidden, std::string_view button, std::string_view css = "",
                 std::string_view inside = "", std::string_view extra = "");

/// Picture, word and shape of a state, never colour alone.
std::string mark(std::string_view css, std::string_view shape, std::string_view words);

}  // namespace handlot::bench
