// signs.h: pictograms, drawn here, to the shapes and colours of GHS and ISO 3864.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace handlot::sheets {

/// "flame: flammable" for "GHS02", "hot surface" for "W017". A number that is not known here gives the
/// meaning of its shape: "warning", "must be done", "forbidden". Source   GHS: UN GHS annex 1 names of
/// symbols; ISO 7010 numbers and their referents. Both from memory.
std::string sign_meaning(std::string_view code);

/// A drawing of 100 x 100 units. An unknown code gets the shape of its first letter with the number in it.
std::string sign_svg(std::string_view code);

/// All codes that have a drawing of their own, ascending.
std::vector<std::string> sign_codes();

}  // namespace handlot::sheets
