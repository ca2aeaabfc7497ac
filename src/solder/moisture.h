// moisture.h: floor life of moisture-sensitive parts, and the bake that restores it.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "solder/clock.h"

namespace handlot::solder {

enum class Level { l1, l2, l2a, l3, l4, l5, l5a, l6 };
std::string_view word(Level level);
std::optional<Level> level_named(std::string_view word);  ///< "3", "MSL 2a", "5A"

struct FloorLife {
  Level level = Level::l1;
  std::optional<Duration> life;  ///< nothing: unlimited (1) or by its label (6)
  Celsius warmest;
  RelativeHumidity dampest;
  Source source;
};
const FloorLife& floor_life(Level level);

/// One stretch of a part's time out of its sealed bag.
struct Exposure {
  enum class Kind {
    room,        ///< counts
    cabinet_5,   ///< dry cabinet at 5 %RH or less: does not count
    cabinet_10,  ///< dry cabinet at 10 %RH or less: pauses the clock
    sealed,      ///< back in a bag with fresh desiccant: pauses, does not reset
    baked        ///< a full bake: starts again from nothing
  };
  Kind kind = Kind::room;
  Duration time;
  std::optional<Celsius> temperature;  ///< room only; not known = undecided
  std::optional<RelativeHumidity> humidity;
};

struct FloorLifeLeft {
  enum class Answer { usable, bake_first, undecided };
  Answer answer = Answer::undecided;
  std::optional<Duration> used;
  std::optional<Duration> left;  ///< nothing if unlimited or undecided; 0 = limit reached
  Duration overdue{0};
  std::string text;  ///< a sentence; for undecided, which datum is missing
  Source source;
};
/// Errors   none: a room over 30 degC or 60 %RH (85 %RH for level 1) is answered "undecided".
FloorLifeLeft floor_life_left(Level level, const std::vector<Exposure>& history);

struct Bake {
  Celsius oven;
  Duration time;
  bool dry = false;  ///< needs 5 %RH or less
  Source source;
};
/// Ways to bake a part that is overdue; the builder takes the one that reel or tray bears.
///
/// Given    a level that bakes (2 to 5a), thickness > 0.
/// Errors   bake-no-row (level 1, 6, thickness over 4.5 mm).
Result<std::vector<Bake>> bakes(Level level, Millimetres thickness, Duration overdue,
                                bool large_or_stacked = false);
/// Bake before sealing in a dry bag, J-STD-033D.
Result<Bake> dry_pack_bake(Level level, Millimetres thickness);
/// Longest sum of bakes over 90 degC. From memory.
Duration longest_bake_sum();

/// The floor life left as a lag from "bag opened" (or now) to the oven; nothing for level 1.
struct MoistureClock {
  std::vector<Lag> lags;
  std::vector<std::string> undecided;
  std::vector<std::string> notes;
};
MoistureClock moisture_clock(std::string_view part, Level level, const std::vector<Exposure>& history,
                             std::optional<Celsius> room, std::optional<RelativeHumidity> humidity,
                             std::optional<Duration> label_life = {});

}  // namespace handlot::solder
