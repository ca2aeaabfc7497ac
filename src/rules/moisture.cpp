// Parts that take up moisture are through the oven before their floor life is over, or are baked first.
#include "rules/moisture.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "calendar/zone.h"
#include "core/text.h"
#include "rules/board_work.h"
#include "rules/matter.h"
#include "rules/named.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

using solder::Exposure;
using solder::FloorLifeLeft;
using solder::Level;

constexpr std::string_view kRule = "moisture";

constexpr Celsius kLocal{200};  // a body that stays below it while one joint is heated keeps its floor life (J-STD-033 of rework, from memory)

struct Look {
  const Facts& facts;
  const job::Part& part;
  Level level = Level::l1;
  std::vector<const job::Step*> placings;  ///< into paste; of a part that no paste sees, the hot air that sets it
  std::vector<const job::Step*> blown;     ///< heated through by hot air
  std::string name;
};

/// Hot air heats the body through, an iron does not, unless the job says how hot the parts get.
std::vector<const job::Step*> blown_at(const Facts& facts, const PartId& part) {
  std::vector<const job::Step*> found;
  for (const job::Step& s : facts.job.steps) {
    if (s.process.text != "hand-solder") continue;
    const bool of_it = s.on == part || puts_in(s, part);
    const bool air = std::any_of(s.tools.begin(), s.tools.end(), [&](const job::ToolUse& t) { return hot_air(facts, t); });
    if (of_it && (s.reaches ? *s.reaches > kLocal : air)) found.push_back(&s);
  }
  return found;
}

/// What heats the body through once it was brought by `bringing`.
std::vector<const job::Step*> heated_after(const Look& look, const job::Step& bringing) {
  std::vector<const job::Step*> heated;
  if (bringing.process.text == "place") heated = ovens_after(look.facts, bringing);
  for (const job::Step* s : look.blown) {
    if (s > &bringing) heated.push_back(s);
  }
  return heated;
}

std::optional<Look> look_at(const Facts& facts, const job::Part& part) {
  const auto level = solder::level_named(facts.card_of(part.id).word_or("moisture-level"));
  if (!level || *level == Level::l1) return std::nullopt;
  Look look{facts, part, *level, placings_of(facts, part.id), blown_at(facts, part.id), facts.name(part.id)};
  if (look.placings.empty()) look.placings = look.blown;
  if (look.placings.empty()) return std::nullopt;
  return look;
}

bool in_cabinet(const job::Part& part) { return part.bag && part.bag->kept != "room"; }

/// From the opening of the bag to the beginning of the lot.
std::optional<Duration> since_opened(const Facts& facts, const job::Bag& bag) {
  const auto zone = calendar::Zone::find(facts.job.bench.zone);
  const auto from = calendar::read_local(bag.opened), to = calendar::read_local(facts.job.start);
  if (!zone || !from || !to) return std::nullopt;
  return zone->moment(*to).at - zone->moment(*from).at;
}

Exposure::Kind kind_of(const std::string& kept) {
  return kept == "cabinet-5" ? Exposure::Kind::cabinet_5 : kept == "cabinet-10" ? Exposure::Kind::cabinet_10 : kept == "resealed" ? Exposure::Kind::sealed : Exposure::Kind::room;
}

const job::Step* bake_step(const Look& look) {
  for (const job::Step& s : look.facts.job.steps) {
    if (s.process.text == "bake" && (s.on == look.part.id || has(s.touches, look.part.id))) return &s;
  }
  return nullptr;
}

/// What lies behind the part when the lot begins. `missing` says what the job leaves out.
std::vector<Exposure> history_of(const Look& look, std::string& missing) {
  std::vector<Exposure> history;
  if (!look.part.bag || look.part.bag->sealed) return history;
  const job::Bag& bag = *look.part.bag;
  const auto since = since_opened(look.facts, bag);
  const job::Bench& bench = look.facts.job.bench;
  if (bag.kept == "room" && bag.in_room && since && *bag.in_room < *since && bake_step(look) == nullptr) {
    missing = fmt::format("the bag of {} was opened {} before the lot and is kept in the room, and in-room says {}: nothing says where it lay for the rest", look.name, in_words(*since), in_words(*bag.in_room));
    return history;
  }
  if (bag.kept == "room") {
    history.push_back({Exposure::Kind::room, bag.in_room.value_or(since.value_or(Duration(0))), bench.temperature, bench.humidity});
    return history;
  }
  if (!bag.in_room) {
    missing = fmt::format("nothing says how long {} lay in the room since its bag was opened", look.name);
    return history;
  }
  history.push_back({Exposure::Kind::room, *bag.in_room, bench.temperature, bench.humidity});
  history.push_back({kind_of(bag.kept), since.value_or(Duration(0)), {}, {}});
  return history;
}

std::string bakes_in_words(const std::vector<solder::Bake>& bakes) {
  std::vector<std::string> ways;
  for (const solder::Bake& b : bakes) ways.push_back(fmt::format("{} degC{} for {}", number(b.oven.value, 0), b.dry ? " at 5 %RH or less" : "", in_words(b.time)));
  return fmt::format("{}", fmt::join(ways, ", or "));
}

std::optional<Millimetres> body_of(const Look& look) {
  const auto height = look.facts.card_of(look.part.id).get<Millimetres>("height");
  return height && height->high.value > 0 ? std::optional(height->high) : std::nullopt;
}

/// The bakes that would do, by table; empty where the table has no row or the body's thickness is not known.
std::vector<solder::Bake> bakes_for(const Look& look, Duration overdue) {
  const auto body = body_of(look);
  if (!body) return {};
  const auto found = solder::bakes(look.level, *body, overdue);
  return found ? *found : std::vector<solder::Bake>{};
}

/// In its own words: purged, or under vacuum.
bool in_dry_air(const job::Step& bake) {
  constexpr std::array<std::string_view, 8> kDry{"dry air", "dried air", "nitrogen", "vacuum", "%rh", "% rh", "desiccant", "dry cabinet"};
  return says_one_of(kDry, step_words(bake));
}

Duration time_of(const job::Step& bake) { return bake.unattended + (bake.hands_on ? Duration(0) : bake.run); }

/// The row that a bake at this temperature falls under: the hottest that is not hotter. Nothing under 40 degC or, since the
/// table ends there, over 130.
const solder::Bake* row_for(const std::vector<solder::Bake>& rows, Celsius reached) {
  if (reached.value > 130) return nullptr;
  const auto row = std::find_if(rows.begin(), rows.end(), [&](const solder::Bake& b) { return b.oven <= reached; });  // hottest first
  return row == rows.end() ? nullptr : &*row;
}

plan::Finding about(const Look& look, plan::Severity severity, const job::Step& step, std::string message, std::string mend, Source source) {
  auto f = finding(kRule, severity, step, std::move(message), std::move(mend), std::move(source));
  f.parts = {look.part.id};
  if (look.part.bag) f.place = look.part.bag->place;
  return f;
}

std::string mend_by_bake(const Look& look, Duration overdue) {
  const auto rows = bakes_for(look, overdue);
  if (rows.empty()) return fmt::format("take {} from a sealed bag; the table of bakes has no row for it{}", look.name, body_of(look) ? "" : " without its body's height");
  return fmt::format("add a step of process 'bake' on it before it is placed: {}, whichever its reel or tray bears; or take it from a sealed bag", bakes_in_words(rows));
}

/// Whether the job's own bake is one that the table knows; if not, says so with `severity`.
bool bakes_enough(const Look& look, const job::Step& bake, Duration overdue, plan::Severity severity, Yield& yield) {
  if (look.level == Level::l6) return true;  // by its label alone
  const auto rows = bakes_for(look, overdue);
  if (rows.empty()) {
    yield.findings.push_back(about(look, plan::Severity::undecided, bake, fmt::format("whether {} is enough for {} can't be told", say(bake), look.name),
                                   body_of(look) ? "ask the maker of the part: the table has no row for its level and body" : "add the figure 'height' to its card", {"BAKE41", "table 4-1", Standing::read}));
    return false;
  }
  if (!bake.reaches) {
    yield.findings.push_back(about(look, plan::Severity::undecided, bake, fmt::format("{} does not say how hot it is", say(bake)), fmt::format("write reaches=\"125 degC\"; {} needs {}", look.name, bakes_in_words(rows)), rows.front().source));
    return false;
  }
  const solder::Bake* row = row_for(rows, *bake.reaches);
  if (row != nullptr && time_of(bake) >= row->time) {
    if (row->dry && !in_dry_air(bake)) yield.findings.push_back(about(look, plan::Severity::note, bake, fmt::format("{} dries {} only in air of 5 %RH or less", say(bake), look.name), "purge the oven with dry air, or bake at 125 degC", row->source));
    return true;
  }
  yield.findings.push_back(about(look, severity, bake, fmt::format("{} at {} degC for {} does not dry {} (level {})", say(bake), number(bake.reaches->value, 0), in_words(time_of(bake)), look.name, solder::word(look.level)),
                                 fmt::format("bake at {}", bakes_in_words(rows)), rows.front().source));
  return false;
}

std::string clock_of(const Look& look) { return fmt::format("floor life of {} (level {})", look.name, solder::word(look.level)); }

void clock_link(const Look& look, const job::Step& from, plan::Edge edge, const job::Step& oven, const solder::Lag& lag, plan::Scope scope, Yield& yield) {
  plan::Constraint link = before(from, oven, reason(plan::ReasonKind::moisture, kRule, lag.text, lag.source, look.part.bag ? look.part.bag->place : look.part.place));
  link.from.edge = edge;
  link.max = lag.at_most;
  link.scope = scope;
  // The clock of the whole lot is a latest end only: the first boards may be in the oven while parts go on to the last.
  if (scope == plan::Scope::lot) link.min = Duration(-lag.at_most->seconds);
  link.clock = clock_of(look);
  link.spoils = true;
  link.if_late = fmt::format("do not heat it: its body may crack; bake it{}, or take one from a sealed bag", [&] {
    const auto rows = bakes_for(look, Duration(0));
    return rows.empty() ? std::string() : fmt::format(" ({})", bakes_in_words(rows));
  }());
  yield.links.push_back(std::move(link));
}

/// Links from the opening of the bag, or from the bake, to every run of the oven that the part sees.
void clock_links(const Look& look, const std::vector<Exposure>& history, const job::Step* bake, Yield& yield) {
  const job::Bench& bench = look.facts.job.bench;
  std::vector<Exposure> seen = history;
  if (bake != nullptr) seen.push_back({Exposure::Kind::baked, Duration(0), {}, {}});
  const auto clock = solder::moisture_clock(look.name, look.level, seen, bench.temperature, bench.humidity, look.part.bag ? look.part.bag->label_life : std::nullopt);
  for (const std::string& missing : clock.undecided) {
    yield.findings.push_back(about(look, plan::Severity::undecided, *look.placings.front(), missing, "write temperature and humidity of the <room>, and its label's time for level 6", solder::floor_life(look.level).source));
  }
  for (const solder::Lag& lag : clock.lags) {
    for (const job::Step* placing : look.placings) {
      const bool from_bake = bake != nullptr && !in_cabinet(look.part);
      std::vector<const job::Step*> heated = heated_after(look, *placing);
      if (from_bake && placing->process.text != "place") heated.push_back(placing);
      for (const job::Step* oven : heated) {
        // A bag opened once for the lot: its first part counts. A cabinet gives the parts out one by one.
        const auto scope = from_bake || in_cabinet(look.part) ? plan::Scope::unit : plan::Scope::lot;
        clock_link(look, from_bake ? *bake : *placing, from_bake ? plan::Edge::end : plan::Edge::start, *oven, lag, scope, yield);
      }
    }
  }
}

void bag_unknown(const Look& look, Yield& yield) {
  const bool soon = look.level != Level::l2 && look.level != Level::l2a;
  const auto& life = solder::floor_life(look.level);
  yield.findings.push_back(about(look, soon ? plan::Severity::undecided : plan::Severity::note, *look.placings.front(),
                                 fmt::format("nothing says when the bag of {} was opened: level {}{}", look.name, solder::word(look.level), life.life ? fmt::format(" may lie open for {}", in_words(*life.life)) : " is baked before every use"),
                                 "write <bag opened=\"2026-11-20 09:00\" kept=\"room\"/> into the part, or <bag opened=\"no\"/> while it is sealed", life.source));
}

}  // namespace

void moisture(const Facts& facts, const job::Part& part, Yield& yield) {
  const auto look = look_at(facts, part);
  if (!look) return;
  if (!part.bag) bag_unknown(*look, yield);
  std::string missing;
  const std::vector<Exposure> history = history_of(*look, missing);
  if (!missing.empty()) {
    yield.findings.push_back(about(*look, plan::Severity::undecided, *look->placings.front(), missing, look->part.bag->in_room ? "write kept=\"...\" into its <bag>, or leave in-room out where it lay in the room since" : "write in-room=\"20 h\" into its <bag>", solder::floor_life(look->level).source));
    return;
  }
  const FloorLifeLeft left = solder::floor_life_left(look->level, history);
  const job::Step* bake = bake_step(*look);
  const bool over = left.answer == FloorLifeLeft::Answer::bake_first;
  if (bake != nullptr) {
    for (const job::Step* placing : look->placings) {
      yield.links.push_back(before(*bake, *placing, reason(plan::ReasonKind::moisture, kRule, fmt::format("{} is baked before it is placed", look->name), solder::floor_life(look->level).source, bake->place)));
    }
    if (!bakes_enough(*look, *bake, left.overdue, over ? plan::Severity::stop : plan::Severity::warn, yield)) bake = nullptr;
  } else if (over) {
    yield.findings.push_back(about(*look, plan::Severity::stop, *look->placings.front(), fmt::format("{} (level {}): {}", look->name, solder::word(look->level), left.text), mend_by_bake(*look, left.overdue), left.source));
  }
  if (over && bake == nullptr) return;
  clock_links(*look, history, bake, yield);
}

std::optional<OpenClock> open_clock(const Facts& facts, const job::Part& part) {
  const auto look = look_at(facts, part);
  if (!look || !part.bag || part.bag->sealed || part.bag->kept != "room" || bake_step(*look) != nullptr) return std::nullopt;
  std::string missing;
  const FloorLifeLeft left = solder::floor_life_left(look->level, history_of(*look, missing));
  if (left.answer != FloorLifeLeft::Answer::usable || !left.left) return std::nullopt;
  OpenClock clock{part.id, look->name, *left.left, {}, {}, clock_of(*look), fmt::format("{} (level {}): {}", look->name, solder::word(look->level), left.text), mend_by_bake(*look, Duration(0)), left.source, part.bag->place};
  for (const job::Step* placing : look->placings) {
    clock.placings.push_back(placing->id);
    for (const job::Step* oven : heated_after(*look, *placing)) clock.ovens.push_back(oven->id);
    if (placing->process.text != "place") clock.ovens.push_back(placing->id);
  }
  return clock;
}

}  // namespace handlot::rules
