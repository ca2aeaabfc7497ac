// in_turn.h: which variable is given a value next where conflicts have nothing to say.
#pragma once

#include <vector>

#include "engine/trail.h"

namespace handlot::engine {

/// The variables of one turn. Numbers found to have a value are moved out of the way, and Booleans passed
/// over, until the search goes back behind the level at which that was seen:
///
///     numbers    open ... open | set aside at level 3 | at level 2 | at level 0
///     Booleans   valued at level 0 | at level 2 | at level 3 | open or not: not looked at yet
class InTurn {
 public:
  void add(Var x, bool boolean);
  /// The open variable of smallest lower bound, then smallest upper bound, then first made: as early as it
  /// can be. Index -1 when every variable has a value. Cost     the numbers open, and the Booleans not
  /// passed, when this level or one below was last looked at.
  Var next(const Trail& trail);
  void back_to(std::int32_t level);

 private:
  Var next_boolean(const Trail& trail);

  std::vector<Var> numbers_, booleans_;
  struct Seen {
    std::size_t open = 0, passed = 0;
  };
  std::vector<Seen> seen_{{}};  ///< by level, as far as looked at
};

}  // namespace handlot::engine
