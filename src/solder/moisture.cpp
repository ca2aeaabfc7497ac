#include "solder/moisture.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cassert>

#include "core/text.h"
#include "solder/moisture_tables.h"

namespace handlot::solder {

namespace {

constexpr std::array<std::string_view, 8> kNames{"1", "2", "2a", "3", "4", "5", "5a", "6"};

}  // namespace

std::string_view word(Level level) {
  return kNames[static_cast<std::size_t>(level)];
}

std::optional<Level> level_named(std::string_view named) {
  std::string plain;
  for (const char c : named) {
    if (c != ' ' && c != '-' && c != '_')
      plain += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  }
  if (plain.starts_with("msl")) plain.erase(0, 3);
  if (plain.starts_with("level")) plain.erase(0, 5);
  for (std::size_t i = 0; i < kNames.size(); ++i) {
    if (plain == kNames[i]) return static_cast<Level>(i);
  }
  return std::nullopt;
}

const FloorLife& floor_life(Level level) {
  // J-STD-020/033 floor lives as printed at handbook.dannie.cc (lives) and hubbry.com (rooms), read
  // 2026-11-25.
  static const auto row = [](Level l, std::optional<Duration> life, double rh) {
    return FloorLife{l, life, Celsius(30), RelativeHumidity(rh), {"MSLREP", "floor life", Standing::read}};
  };
  static const std::array<FloorLife, 8> kTable{
      row(Level::l1, std::nullopt, 85), row(Level::l2, hours(8760), 60), row(Level::l2a, hours(672), 60),
      row(Level::l3, hours(168), 60),   row(Level::l4, hours(72), 60),   row(Level::l5, hours(48), 60),
      row(Level::l5a, hours(24), 60),   row(Level::l6, std::nullopt, 60)};
  return kTable[static_cast<std::size_t>(level)];
}

namespace {

/// Why this stretch cannot be counted; nothing if it can.
std::optional<std::string> uncountable(const Exposure& e, const FloorLife& life) {
  if (e.kind != Exposure::Kind::room) return std::nullopt;
  if (!e.temperature || !e.humidity)
    return fmt::format("temperature and humidity of the {} in the room are not known", in_words(e.time));
  if (*e.temperature <= life.warmest && *e.humidity <= life.dampest) return std::nullopt;
  return fmt::format(
      "the room had {} degC and {} %RH, the floor life holds to {} degC and {} %RH, and how much shorter it "
      "gets is not in any table we have",
      number(e.temperature->value, 1), number(e.humidity->value, 0), number(life.warmest.value, 0),
      number(life.dampest.value, 0));
}

}  // namespace

FloorLifeLeft floor_life_left(Level level, const std::vector<Exposure>& history) {
  const FloorLife& life = floor_life(level);
  FloorLifeLeft out;
  out.source = life.source;
  // A full bake wipes out what came before it, known or not.
  const auto baked = std::find_if(history.rbegin(), history.rend(),
                                  [](const Exposure& e) { return e.kind == Exposure::Kind::baked; });
  const bool was_baked = baked != history.rend();
  if (level == Level::l6) {
    out.answer = was_baked ? FloorLifeLeft::Answer::undecided : FloorLifeLeft::Answer::bake_first;
    out.text = was_baked ? "level 6 is good for the time on its label after the bake: say that time"
                         : "level 6 is baked before every use; after that the time on its label counts";
    return out;
  }
  Duration used{0};
  for (auto e = baked.base(); e != history.end(); ++e) {
    if (const auto why = uncountable(*e, life)) {
      out.answer = FloorLifeLeft::Answer::undecided;
      out.text = *why;
      return out;
    }
    if (e->kind == Exposure::Kind::room) used += e->time;
  }
  out.used = used;
  if (!life.life) {
    out.answer = FloorLifeLeft::Answer::usable;
    out.text = "level 1 has no limit up to 30 degC and 85 %RH";
    return out;
  }
  const Duration left = *life.life - used;
  out.left = std::max(left, Duration(0));
  if (left > Duration(0)) {
    out.answer = FloorLifeLeft::Answer::usable;
    out.text = fmt::format("{} of {} used, {} left", in_words(used), in_words(*life.life), in_words(left));
  } else {
    out.answer = FloorLifeLeft::Answer::bake_first;
    out.overdue = -left;
    out.text = out.overdue > Duration(0)
                   ? fmt::format("the floor life of {} is over since {}: bake first", in_words(*life.life),
                                 in_words(out.overdue))
                   : fmt::format("the floor life of {} is used up: bake first", in_words(*life.life));
  }
  return out;
}

Result<std::vector<Bake>> bakes(Level level, Millimetres thickness, Duration overdue, bool large_or_stacked) {
  assert(thickness.value > 0);
  const bool late = overdue > hours(72);
  for (const tables::UserBake& row : tables::user_bakes()) {
    if (row.level != level || thickness.value > row.up_to_mm) continue;
    const Source source{"BAKE41",
                        fmt::format("table 4-1, body up to {} mm, level {}, overdue by {} 72 h",
                                    number(row.up_to_mm, 1), word(level), late ? "more than" : "at most"),
                        row.standing};
    std::vector<Bake> all{{Celsius(125), hours(late ? row.h125_long : row.h125_short), false, source},
                          {Celsius(90), hours(late ? row.h90_long : row.h90_short), true, source},
                          {Celsius(40), hours(late ? row.h40_long : row.h40_short), true, source}};
    if (large_or_stacked) {
      all[0].time = hours(96);
      all[0].source = {"BAKE41", "table 4-1, larger than 17 x 17 mm or stacked dies", Standing::memory};
    }
    return all;
  }
  return fail(error(
      "bake-no-row", {},
      fmt::format(
          "there is no bake for level {} and a body of {} mm in the table (levels 2 to 5a, up to 4.5 mm)",
          word(level), number(thickness.value, 2)),
      "ask the maker of the part, or replace it from a sealed bag"));
}

Result<Bake> dry_pack_bake(Level level, Millimetres thickness) {
  assert(thickness.value > 0);
  for (const tables::DryPackBake& row : tables::dry_pack_bakes()) {
    if (row.level != level || thickness.value > row.up_to_mm) continue;
    return Bake{
        Celsius(125),
        hours(row.h125),
        false,
        {"BAKE42", fmt::format("table 4-2, body up to {} mm, level {}", number(row.up_to_mm, 1), word(level)),
         row.standing}};
  }
  return fail(
      error("bake-no-row", {},
            fmt::format("there is no bake before sealing for level {} and a body of {} mm in the table",
                        word(level), number(thickness.value, 2)),
            "ask the maker of the part"));
}

Duration longest_bake_sum() {
  return hours(96);
}

MoistureClock moisture_clock(std::string_view part, Level level, const std::vector<Exposure>& history,
                             std::optional<Celsius> room, std::optional<RelativeHumidity> humidity,
                             std::optional<Duration> label_life) {
  MoistureClock clock;
  const FloorLife& life = floor_life(level);
  if (level == Level::l1) return clock;
  FloorLifeLeft left = floor_life_left(level, history);
  const bool baked = std::any_of(history.begin(), history.end(),
                                 [](const Exposure& e) { return e.kind == Exposure::Kind::baked; });
  if (level == Level::l6 && label_life && baked) {
    left.answer = FloorLifeLeft::Answer::usable;
    left.left = label_life;
    left.text = fmt::format("{} after the bake by its label", in_words(*label_life));
    left.source = {};
  }
  if (left.answer == FloorLifeLeft::Answer::undecided) {
    clock.undecided.push_back(fmt::format("{} (level {}): {}", part, word(level), left.text));
    return clock;
  }
  if (!room || !humidity || *room > life.warmest || *humidity > life.dampest) {
    clock.undecided.push_back(
        !room || !humidity
            ? fmt::format("{} (level {}): the room's temperature and humidity are not known", part,
                          word(level))
            : fmt::format(
                  "{} (level {}): the room is beyond {} degC or {} %RH, where its floor life is not known",
                  part, word(level), number(life.warmest.value), number(life.dampest.value)));
    return clock;
  }
  Lag lag;
  lag.kind = "moisture";
  lag.source = left.source;
  if (left.answer == FloorLifeLeft::Answer::bake_first) {
    lag.from = "part baked";
    lag.to = "board in the oven";
    lag.at_most = level == Level::l6 ? label_life : life.life;
    lag.text = fmt::format("{} (level {}) must be baked first: {}", part, word(level), left.text);
    clock.notes.push_back(lag.text);
    if (!lag.at_most) {
      clock.undecided.push_back(fmt::format("{} (level 6): say the time on its label", part));
      return clock;
    }
  } else {
    lag.from = "now";
    lag.to = "board in the oven";
    lag.at_most = left.left;
    lag.text = fmt::format("{} (level {}) takes up moisture: {}", part, word(level), left.text);
  }
  clock.lags.push_back(std::move(lag));
  return clock;
}

}  // namespace handlot::solder
