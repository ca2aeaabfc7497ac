// constraint.h: at least / at most so long between two events, and choices between such links.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/id.h"
#include "core/quantity.h"
#include "plan/reason.h"

namespace handlot::plan {

enum class Edge { start, end };

struct Event {
  StepId step;
  Edge edge = Edge::start;
  auto operator<=>(const Event&) const = default;
};

/// Between which occurrences of the two steps a link holds.
enum class Scope {
  unit,  ///< unit u of `from` to the same unit u of `to`, for every u
  lot    ///< from the last unit's (for `min`) or first unit's (for `max`) event of `from`: the whole lot waits
};

///   from ----[ min ... max ]----> to        min <= time(to) - time(from) <= max
///
/// min may be negative only together with a max (a latest end written backwards is not needed: use max).
struct Constraint {
  Event from;
  Event to;
  Duration min{0};
  std::optional<Duration> max;
  Scope scope = Scope::unit;
  Reason reason;
  std::string clock;       ///< what runs meanwhile, as the wait board heads it: "epoxy of the feet cures"; may be empty
  std::string if_late;     ///< what happens when max is passed; empty without max
  bool spoils = false;     ///< past max what `from` made is dead: `from` is done again, and `to` never done with the old
  bool wish = false;       ///< the latest end is kept if the lot can be scheduled so; else it is given up and said
  bool redundant = false;  ///< implied by others: left out of the sheet, kept for `why`
};

/// At least one option must hold, whole. Options stand in the order of preference; a choice that the other links
/// decide already is settled without a word, otherwise the first option that contradicts nothing is taken.
struct Choice {
  RuleId rule;
  std::vector<std::vector<Constraint>> options;
  std::string text;  ///< what is chosen between: "tung-oil before or after glue-feet"
  Place place;
};

/// Two steps that may not overlap in time anywhere in the lot (open solvent and a hot tool).
struct NeverTogether {
  StepId a;
  StepId b;
  Duration clear_after_a{0};  ///< b starts no sooner than this after a ends (airing)
  Duration clear_after_b{0};
  Reason reason;
};

/// Unit 1 is looked at in one step before another is repeated: the joints of the first board before the others go into the
/// oven. Lies between units, so it is no link of one unit's order.
///
///   unit 1    repeat ---> ... ---> look |
///   others                              | repeat
struct LookFirst {
  StepId look;    ///< unit 1's must have ended
  StepId repeat;  ///< before any other unit's begins
  Reason reason;
};

}  // namespace handlot::plan
