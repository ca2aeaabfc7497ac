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
  std::string how;      ///< when a law stands behind it: "24 h at 23 degC, brought to 20 degC by ..."; else empty
  Diagnostics fault;    ///< nobody published a time for this room or depth: `wait` is that of the coldest room that has one, or the printed one, unfit
};

/// The time from the end of gluing until the joint has reached `cure`: the builder's own measurement, else the card's
/// figure for the substrate (upper end of a range), brought to the temperature of the room (joints/cure.h), else the next
/// higher state the card knows. Empty: not known.
std::optional<CureTime> cure_time(const Facts& facts, const job::Joint& joint, job::Cure cure);

/// What a step asks of a joint by its process. Nothing when it reaches neither side. What the process card says when a
/// fluid may creep in (finish, clean), when the whole is shaken (test, pack), or when force runs through the joint
/// because the step names parts on both its sides, or tries one of them under load (a test that asks full cure) and the
/// job gives the joint a load. Otherwise at most handling: the piece is held, not loaded.
/// Source   our own reading of fixture, handling, working and full [practice].
job::Cure cure_asked(const Facts& facts, const job::Step& step, const job::Joint& joint);

}  // namespace handlot::rules
