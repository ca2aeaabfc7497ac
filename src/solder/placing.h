// placing.h: in which order a hand sets parts into paste, how long that takes, and how many boards the paste
// allows.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "core/source.h"
#include "solder/gerber.h"

namespace handlot::solder {

struct Placement {
  std::string part;   ///< reference, "R12"
  std::string bag;    ///< parts of one bag are the same thing
  std::string value;  ///< as printed for the reader
  Point centre;
  Degrees turned;  ///< counter-clockwise
  Millimetres length, width;
  Millimetres height;  ///< 0: not known
  bool polarised = false;  ///< must not be turned
  std::string mark;        ///< what to look for: "pin 1 dot", "cathode bar"
  int pins = 2;
  std::optional<Millimetres> pitch;
};

/// How long one placement takes; from the builder's own record where there is one.
struct PlacingTimes {
  Seconds strip{8};  ///< chips of one value in a row, from a strip [practice]
  Seconds chip{15};  ///< a chip by itself [practice]
  Seconds fine{45};  ///< fine pitch, leadless [practice: 30 to 60]
  Seconds bag{20};   ///< to open a bag and find the first place [practice]
  Source source{"", "", Standing::practice};
  std::vector<std::pair<std::string, Seconds>> recorded;  ///< by bag: the builder's own median for one part
};

struct PlacingGroup {
  std::string bag;
  std::string value;
  std::vector<std::size_t> order;  ///< indices into the parts
  Seconds time;
  bool from_record = false;
  std::string why;  ///< why this group stands here
};
struct PlacingPlan {
  std::vector<PlacingGroup> groups;
  Seconds time;  ///< for one board
  Millimetres travel;
  std::vector<std::string> notes;
};
/// "bag a after bag b, because ..."
struct PlacingAfter {
  std::string bag;
  std::string after;
  std::string why;
};
/// Bags low and small first (height, then footprint, then pins, then id; those of unknown height last), unless `after` says otherwise; within a bag
/// near neighbours in a row.
///
/// Errors   placing-cycle: the `after` rows go round in a circle (named); placing-unknown-bag.
/// Cost     within a bag quadratic per sweep, at most 20 sweeps.
Result<PlacingPlan> plan_placing(const std::vector<Placement>& parts, const PlacingTimes& times = {},
                                 const std::vector<PlacingAfter>& after = {});

struct BoardsAtOnce {
  int boards = 0;        ///< 0: not even one board fits
  Seconds oldest_print;  ///< age of the first print when the last board goes into the oven
  std::string text;
};
/// How many boards may be printed before placing begins, so that the first print is not too old when the last
/// of them goes into the oven.
/// Given    times >= 0, oven_places >= 1; the boards of one go are placed one after the other, then heated
///          `oven_places` at a time; `limit` is print to oven.
BoardsAtOnce boards_at_once(int lot, Seconds print_each, Seconds place_each, Seconds oven_each,
                            int oven_places, Seconds limit, std::optional<Seconds> place_limit = {});

struct BoardPicture {
  Ring outline;         ///< empty: the box of the parts
  bool bottom = false;  ///< seen from below: mirrored left to right
  std::string title;
  Millimetres tallest{190};  ///< of the board as drawn; letters keep their size
};
/// The board with the parts of one bag filled, numbered in order and with their orientation marks; parts of
/// earlier bags in light grey. Same input, same bytes.
std::string placing_picture(const std::vector<Placement>& parts, const PlacingPlan& plan, std::size_t group,
                            const BoardPicture& board);

}  // namespace handlot::solder
