// text.h: small things done to words, the same everywhere and without locale.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/quantity.h"

namespace handlot {

/// The known word closest to `wrong` (letters swapped, missing or added), if it is close enough to be meant.
/// Ties go to the first in `known`.
std::optional<std::string> closest(std::string_view wrong, std::span<const std::string> known);

/// ASCII capitals made small, without locale.
std::string lower(std::string_view text);

/// "a", "a and b", "a, b and c".
std::string listed(std::span<const std::string> words);

/// "45 s", "20 min", "1 h 30 min", "2 d 4 h": the two largest parts that are not zero. Negative: with a minus.
std::string in_words(Duration duration);

/// A number with at most `decimals` digits after the point and no trailing zeros, without locale.
std::string number(double value, int decimals = 3);

/// "1 screw", "4 screws".
std::string counted(long count, std::string_view one, std::string_view many);

}  // namespace handlot
