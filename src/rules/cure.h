// cure.h: how long a joint needs until a later step may ask something of it.
#pragma once

#include <optional>
#include <string>

#include "rules/rule.h"

namespace handlot::rules {

struct CureTime {
  Duration wait;
  job::Cure reached = job::Cure::none;  ///< the state that the time stands for: the asked one, or the next higher known
  Source source;
  Place place;
};

/// The time from the end of gluing until the joint has reached `cure`: the builder's own measurement, else the card's
/// figure for the substrate (upper end of a range), else the next higher state the card knows. Empty: not known.
std::optional<CureTime> cure_time(const Facts& facts, const job::Joint& joint, job::Cure cure);

/// What the process of a step asks of the joints whose parts it works on.
job::Cure cure_asked(const Facts& facts, const job::Step& step);

}  // namespace handlot::rules
