// paste_clock.h: how long a paste must warm, may lie open, on the stencil and on the board.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/quantity.h"
#include "solder/clock.h"

namespace handlot::solder {

/// A time as a card gives it.
struct Timed {
  Duration time;
  Source source;
};

/// What a paste's card says of time. What it leaves out makes no lag, but a note.
struct PasteTimes {
  std::string id;
  std::string name;
  std::optional<Timed> warm_up;         ///< out of the cold to opening
  std::optional<Timed> after_opening;   ///< jar opened to discarded
  std::optional<Timed> on_stencil;      ///< on the foil to wiped off
  std::optional<Timed> abandon;         ///< idle on the foil between two prints
  std::optional<Timed> print_to_place;  ///< printed to last part placed
  std::optional<Timed> print_to_oven;   ///< printed to melted
  std::optional<Celsius> room_low, room_high;
  std::optional<RelativeHumidity> humidity_low, humidity_high;
};

/// Event words used in the lags.
namespace paste_event {
inline constexpr const char* kOutOfCold = "paste out of the cold";
inline constexpr const char* kOpened = "paste opened";
inline constexpr const char* kOnStencil = "paste on the stencil";
inline constexpr const char* kPrinted = "board printed";
inline constexpr const char* kPlaced = "last part placed";
inline constexpr const char* kInOven = "board in the oven";
inline constexpr const char* kLastPrint = "last board printed";
}  // namespace paste_event

struct PasteClocks {
  std::vector<Lag> lags;
  std::vector<std::string> undecided;  ///< which times the card does not give
  std::vector<std::string> notes;      ///< the room is not what the paste is printed in
  std::vector<std::string> handling;   ///< never warm by force, never back into the cold, what to do after a pause
};
/// Given    times >= 0.
PasteClocks paste_clocks(const PasteTimes& paste, std::optional<Celsius> room = {},
                         std::optional<RelativeHumidity> humidity = {});

}  // namespace handlot::solder
