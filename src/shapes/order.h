// order.h: an order in which every part can be put in, found from shapes alone; and the check of a given one.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/id.h"
#include "shapes/blocking.h"
#include "shapes/distance.h"

namespace handlot::shapes {

/// The straight moves by which a body goes in. One direction, or two: `first` is travelled first.
struct Way {
  Vec3 last;                  ///< unit, direction of travel of the (last) move into the seat
  std::optional<Vec3> first;  ///< unit, direction of travel of the move before it
  Millimetres last_travel;    ///< length of the last move when there are two
};

/// What stands in the way along one direction of travel.
struct Obstacle {
  Vec3 travel;  ///< unit, direction in which the body would go in
  std::vector<std::size_t> blockers;
};

struct Insertion {
  bool possible = false;
  Way way;                          ///< when possible
  std::vector<Obstacle> obstacles;  ///< when not: one for each direction that the part may use
};

/// Can the parts of `moving`, as one body, be put in while the parts of `present` are there?
/// Declared directions of a moving part are the only ones used for it. `two_moves` also tries
/// along-then-across.
Insertion can_go_in(const Scene& scene, const Blocking& table, const PartSet& moving, const PartSet& present,
                    bool two_moves = true);

/// One step of an order: `parts` join what is there already.
struct OrderStep {
  std::vector<std::size_t> parts;  ///< more than one: a subassembly, put in as one body
  Way way;
  bool loose = false;  ///< it only goes when something else is left without hold; a hand or jig must keep it
  int group =
      -1;  ///< the subassembly this step builds (index into InsertionOrder::groups); -1 = the unit itself
};
/// A subassembly that the order needs or that was declared.
struct OrderGroup {
  std::string id;
  std::vector<std::size_t> parts;
};
/// Parts that could not be got in, and why.
struct Stuck {
  std::vector<std::size_t> parts;
  std::vector<Obstacle> obstacles;
};
struct InsertionOrder {
  std::vector<OrderStep> steps;  ///< groups are built before they are put in; the first step is the base
  std::vector<OrderGroup> groups;
  std::vector<Stuck> stuck;           ///< empty: the order is complete
  std::vector<std::size_t> floating;  ///< parts that touch nothing
  bool stopped = false;               ///< the limit of work was reached; what is left is in `stuck`
};

struct OrderRules {
  double contact = 0.06;  ///< mm; parts nearer than this hold each other
  bool two_moves = true;
  std::size_t limit = 2000000;  ///< closures looked at before it stops
  /// (a, b): a must be in before b, for reasons that shapes do not show.
  std::vector<std::pair<std::size_t, std::size_t>> before;
};

/// A complete order for parts with no stated order at all.
/// Returns    the reverse of taking the unit apart: the smallest set of parts that can leave without letting
/// another
///            part hang loose goes first; sets of more than one are subassemblies, taken apart in turn.
///            Fasteners before other parts, then small before large, then by id.
/// Cost       46 parts about 5 ms beyond the blocking table.
/// Limits     straight moves (or two of them), rigid parts, no gravity and no hands.
/// `meetings`: pairs nearer than rules.contact at least, as shapes::meetings gives them.
InsertionOrder find_order(const Scene& scene, const Blocking& table, std::span<const MeetingPair> meetings,
                          const OrderRules& rules = {});

/// A step of a given order: bodies that arrive one after another in any order among themselves.
struct Arrival {
  StepId step;
  std::vector<PartSet> bodies;  ///< each a part, or parts already joined
  PartSet onto;                 ///< what they are put into or onto (parts of the same unit or subassembly)
};
struct BlockedArrival {
  StepId step;
  std::size_t arrival = 0;  ///< index into the sequence
  PartSet body;
  std::vector<Obstacle> obstacles;
  /// The last place in the sequence where it still went in: before this arrival. None = nowhere.
  std::optional<std::size_t> last_before;
};
/// Every body of the sequence that cannot go in where it stands.
std::vector<BlockedArrival> check_sequence(const Scene& scene, const Blocking& table,
                                           const std::vector<Arrival>& sequence, bool two_moves = true);

/// What has to come out, in this order, to take `part` out of the finished unit; for refills and
/// replacements.
struct Removal {
  bool possible = false;
  std::vector<OrderStep> steps;                             ///< `way` is that of going back in
  std::vector<std::pair<std::size_t, std::size_t>> breaks;  ///< bonds that would have to be broken
  std::vector<Obstacle> obstacles;                          ///< when not possible
};
/// Parts bonded to each other come out as one body where that works; a bond of the wanted part itself, and
/// others where there is no way round them, break and are listed.
Removal take_out(const Scene& scene, const Blocking& table, std::size_t part, bool two_moves = true);

/// "lens cannot go in: from above the bezel is in the way; from below the case and the board are".
std::string say(const Scene& scene, const PartSet& body, const std::vector<Obstacle>& obstacles);

}  // namespace handlot::shapes
