// clock.h: a link in time between two events, in plain values.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/quantity.h"
#include "core/source.h"

namespace handlot::solder {

/// `to` comes at least `at_least` and at most `at_most` after `from`. Turned into constraints elsewhere.
struct Lag {
  std::string kind;  ///< "paste", "moisture"
  std::string from;  ///< event words of the function that made it
  std::string to;
  Duration at_least{0};
  std::optional<Duration> at_most;
  std::string text;  ///< why, a sentence
  Source source;
};

}  // namespace handlot::solder
