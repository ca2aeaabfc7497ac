#include "solder/paste_clock.h"

#include <fmt/format.h>

#include "core/text.h"

namespace handlot::solder {

namespace {

struct Rule {
  const std::optional<Timed> PasteTimes::*time;
  const char* from;
  const char* to;
  bool at_least;
  const char* text;     ///< {0} paste, {1} time
  const char* missing;  ///< what the card does not say
};

const Rule kRules[] = {
    {&PasteTimes::warm_up, paste_event::kOutOfCold, paste_event::kOpened, true,
     "{0} must come to the room's temperature by itself, {1}, or water condenses in it",
     "how long it takes from the cold to opening"},
    {&PasteTimes::after_opening, paste_event::kOpened, paste_event::kLastPrint, false,
     "{0} is good for {1} once opened", "how long it is good once opened"},
    {&PasteTimes::on_stencil, paste_event::kOnStencil, paste_event::kLastPrint, false,
     "{0} may lie on the stencil for {1}: it dries", "how long it may lie on the stencil"},
    {&PasteTimes::print_to_place, paste_event::kPrinted, paste_event::kPlaced, false,
     "printed {0} holds parts for {1}: its tack goes", "how long it stays tacky"},
    {&PasteTimes::print_to_oven, paste_event::kPrinted, paste_event::kInOven, false,
     "printed {0} must be melted within {1}", "how soon after printing it must be melted"},
};

void note_room(PasteClocks& clocks, const PasteTimes& paste, std::optional<Celsius> room,
               std::optional<RelativeHumidity> humidity) {
  const std::string name = paste.name.empty() ? paste.id : paste.name;
  if (room &&
      ((paste.room_low && *room < *paste.room_low) || (paste.room_high && *room > *paste.room_high))) {
    clocks.notes.push_back(
        fmt::format("the room has {} degC, {} is printed at {} to {} degC: its times may not hold",
                    number(room->value, 1), name, paste.room_low ? number(paste.room_low->value, 0) : "any",
                    paste.room_high ? number(paste.room_high->value, 0) : "any"));
  }
  if (humidity && ((paste.humidity_low && *humidity < *paste.humidity_low) ||
                   (paste.humidity_high && *humidity > *paste.humidity_high))) {
    clocks.notes.push_back(fmt::format(
        "the room has {} %RH, {} is printed at {} to {} %RH: its times may not hold",
        number(humidity->value, 0), name, paste.humidity_low ? number(paste.humidity_low->value, 0) : "any",
        paste.humidity_high ? number(paste.humidity_high->value, 0) : "any"));
  }
}

}  // namespace

PasteClocks paste_clocks(const PasteTimes& paste, std::optional<Celsius> room,
                         std::optional<RelativeHumidity> humidity) {
  PasteClocks clocks;
  const std::string name = paste.name.empty() ? "paste " + paste.id : paste.name;
  for (const Rule& rule : kRules) {
    const std::optional<Timed>& timed = paste.*rule.time;
    if (!timed) {
      clocks.undecided.push_back(fmt::format("the card of {} does not say {}", name, rule.missing));
      continue;
    }
    Lag lag;
    lag.kind = "paste";
    lag.from = rule.from;
    lag.to = rule.to;
    if (rule.at_least)
      lag.at_least = timed->time;
    else
      lag.at_most = timed->time;
    lag.text = fmt::format(fmt::runtime(rule.text), name, in_words(timed->time));
    lag.source = timed->source;
    clocks.lags.push_back(std::move(lag));
  }
  if (paste.warm_up)
    clocks.handling.push_back("do not warm the jar by force, and do not put opened paste back into the cold");
  if (paste.abandon) {
    clocks.handling.push_back(
        fmt::format("after {} without a print, knead {} and print once on paper before the next board ({})",
                    in_words(paste.abandon->time), name, describe(paste.abandon->source)));
  }
  note_room(clocks, paste, room, humidity);
  return clocks;
}

}  // namespace handlot::solder
