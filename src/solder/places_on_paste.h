// places_on_paste.h: whether the places of a list are those that a paste layer has openings for.
#pragma once

#include <string>
#include <vector>

#include "solder/gerber.h"
#include "solder/placing.h"

namespace handlot::solder {

struct PlacesFault {
  enum class Kind {
    mirrored,  ///< x and y swapped, or one of them with its sign turned
    scaled,    ///< inches read as millimetres, or the other way round
    apart,     ///< most parts lie off the openings of their names, and none of these explains it
    strays     ///< a few do, and the others fit
  };
  Kind kind = Kind::apart;
  std::vector<std::string> parts;  ///< strays
  std::string text, mend;
};

/// Where the places contradict the openings. The origin of either may lie elsewhere, and the whole list be turned by quarters.
///
/// Given    parts of one side, all of them set into paste; a layer of that side, both as seen from above. Where openings carry
///          the names of parts (X2 .C), a part belongs over those of its own; else over the middle between two openings alike.
/// Returns  nothing for fewer than 4 parts that can be told, and where nothing but a part of them fits: parts whose pads are not
///          alike on both sides lie over the middle of none.
/// Source   [practice]
/// Cost     parts times pairs of neighbouring openings, at most 60000, for each of nine ways to turn the list.
std::vector<PlacesFault> places_on_paste(const std::vector<Placement>& parts, const Layer& paste);

}  // namespace handlot::solder
