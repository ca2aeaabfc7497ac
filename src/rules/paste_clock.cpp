// Solder paste warms before it is opened, is used up in time, and once printed is covered with parts and in the oven before
// it dries.
#include "rules/paste_clock.h"

#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "rules/board_work.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/sub_batch.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "paste-clock";
constexpr std::string_view kCard = "paste-card";

std::optional<solder::Timed> timed(const catalogue::Card& paste, std::string_view figure) {
  const auto time = paste.get<Duration>(figure);
  return time ? std::optional(solder::Timed{time->low, time->source}) : std::nullopt;
}

/// How the sheet heads the clock, and what to do when it has run out.
struct Words {
  std::string_view clock, if_late;
};

Words words_of(const solder::Lag& lag) {
  namespace event = solder::paste_event;
  const std::string_view to = lag.to, from = lag.from;
  if (from == event::kOutOfCold) return {"the paste warms in its shut jar", ""};
  if (from == event::kOpened) return {"the jar of paste, counted as open since it was warm", "throw the rest away and open a new jar"};
  if (to == event::kPlaced) return {"printed paste dries: covered with its parts", "wash the board and print it again: dried paste does not wet, and parts fall off"};
  return {"printed paste dries: in the oven", "wash the board and print it again: dried paste does not wet, and parts fall off"};
}

void add_link(const job::Step& from, plan::Edge from_edge, const job::Step& to, plan::Edge to_edge, const solder::Lag& lag, plan::Scope scope, Yield& yield) {
  plan::Constraint link = before(from, to, lag.at_least, reason(plan::ReasonKind::paste, kRule, lag.text, lag.source, to.place));
  link.from.edge = from_edge;
  link.to.edge = to_edge;
  link.max = lag.at_most;
  link.scope = scope;
  link.clock = words_of(lag).clock;
  if (lag.at_most) link.if_late = words_of(lag).if_late;
  link.spoils = lag.at_most.has_value();
  yield.links.push_back(std::move(link));
}

/// The warming that this print's jar comes from: the last one listed before it, else the first.
bool warms_for(const Facts& facts, const job::Step& warm, const job::Step& print, const catalogue::Card& paste) {
  const auto fits = [&](const job::Step& s) {
    if (s.process.text != "warm-paste") return false;
    if (used_card(facts, s, catalogue::CardKind::paste) == nullptr) return s.on.empty() || same_or_within(facts, s.on, print.on);
    return std::any_of(s.materials.begin(), s.materials.end(), [&](const job::MaterialUse& use) { return use.card == paste.id; });  // one of several jars
  };
  const job::Step* chosen = nullptr;
  for (const job::Step& s : facts.job.steps) {
    if (fits(s) && (chosen == nullptr || &s < &print)) chosen = &s;
  }
  return chosen == &warm;
}

void warmed_then(const Facts& facts, const job::Step& warm, const job::Step& print, Yield& yield) {
  const auto* paste = used_card(facts, print, catalogue::CardKind::paste);
  if (paste == nullptr || !warms_for(facts, warm, print, *paste)) return;
  for (const solder::Lag& lag : clocks_of(facts, *paste).lags) {
    if (lag.from == solder::paste_event::kOutOfCold) add_link(warm, plan::Edge::start, print, plan::Edge::start, lag, plan::Scope::lot, yield);
    if (lag.from == solder::paste_event::kOpened) add_link(warm, plan::Edge::end, print, plan::Edge::end, lag, plan::Scope::lot, yield);
  }
}

/// Whether the parts of `place` go into the paste of this print: the n-th of as many, or any listed between it and its oven.
bool placed_into(const Facts& facts, const job::Step& print, const job::Step& place) {
  const auto prints = steps_of(facts, print.process.text, print.on), placings = steps_of(facts, place.process.text, print.on);
  const job::Step* oven = oven_of(facts, print);
  if (prints.size() != placings.size()) return &print < &place && (oven == nullptr || &place < oven);
  return std::find(prints.begin(), prints.end(), &print) - prints.begin() == std::find(placings.begin(), placings.end(), &place) - placings.begin();
}

void printed_then(const Facts& facts, const job::Step& print, const job::Step& later, Yield& yield) {
  const auto* paste = used_card(facts, print, catalogue::CardKind::paste);
  if (paste == nullptr || !same_or_within(facts, print.on, later.on)) return;
  const bool placed = later.process.text == "place" && placed_into(facts, print, later), melted = oven_of(facts, print) == &later;
  if (!placed && !melted) return;
  for (const solder::Lag& lag : clocks_of(facts, *paste).lags) {
    if (lag.to == solder::paste_event::kPlaced && placed) add_link(print, plan::Edge::start, later, plan::Edge::end, lag, plan::Scope::unit, yield);
    if (lag.to == solder::paste_event::kInOven && melted) add_link(print, plan::Edge::start, later, plan::Edge::start, lag, plan::Scope::unit, yield);
  }
}

/// The largest sub-batch whose prints end before the paste on the stencil has dried. Set-up is counted: the paste is on
/// before the first board lies straight.
void stencil_life(const Facts& facts, const job::Step& print, const solder::Lag& lag, Yield& yield) {
  const Duration life = *lag.at_most;
  const int wanted = largest_sub_batch(facts, print);
  const auto takes = [&](int boards) { return print.setup + (print.run_per_unit ? print.run * boards : print.run); };
  if (takes(wanted) <= life) return;
  int most = wanted;
  while (most > 0 && takes(most) > life) --most;
  const std::string text = fmt::format("printing {} at one go takes {}: {}", counted(wanted, "board", "boards"), in_words(takes(wanted)), lag.text);
  if (most < print.batch_min || print.whole_lot) {
    yield.findings.push_back(finding(kCard, plan::Severity::stop, print, text, most == 0 ? "print faster, or take a paste that stays longer" : fmt::format("write batch=\"1..{}\": wipe the stencil and put fresh paste on between", most), lag.source));
    return;
  }
  yield.at_most.push_back({print.id, most});
  yield.findings.push_back(finding(kCard, plan::Severity::note, print, fmt::format("{}; no more than {} are planned at one go", text, most), "wipe the stencil and put fresh paste on between", lag.source));
}

}  // namespace

solder::PasteTimes paste_times(const catalogue::Card& paste) {
  solder::PasteTimes t;
  t.id = paste.id.text;
  t.name = paste.name;
  t.warm_up = timed(paste, "warm-up");
  t.after_opening = timed(paste, "open-life");
  t.on_stencil = timed(paste, "stencil-life");
  t.abandon = timed(paste, "abandon");
  t.print_to_place = timed(paste, "print-to-place");
  t.print_to_oven = timed(paste, "print-to-reflow");
  if (const auto room = paste.get<Celsius>("room-temperature")) {
    t.room_low = room->low;
    t.room_high = room->high;
  }
  if (const auto humidity = paste.get<RelativeHumidity>("room-humidity")) {
    t.humidity_low = humidity->low;
    t.humidity_high = humidity->high;
  }
  return t;
}

solder::PasteClocks clocks_of(const Facts& facts, const catalogue::Card& paste) {
  return solder::paste_clocks(paste_times(paste), facts.job.bench.temperature, facts.job.bench.humidity);
}

void paste_clock(const Facts& facts, const job::Step& earlier, const job::Step& later, Yield& yield) {
  if (earlier.process.text == "warm-paste" && later.process.text == "print-paste") warmed_then(facts, earlier, later, yield);
  if (earlier.process.text == "print-paste") printed_then(facts, earlier, later, yield);
}

void paste_card(const Facts& facts, const job::Step& print, Yield& yield) {
  if (print.process.text != "print-paste") return;
  const auto* paste = used_card(facts, print, catalogue::CardKind::paste);
  if (paste == nullptr) {
    yield.findings.push_back(finding(kCard, plan::Severity::undecided, print, fmt::format("{} does not say which paste it prints: none of its clocks are kept", say(print)), "add <uses material=\"sac305-paste\"/>", stated()));
    return;
  }
  const solder::PasteClocks clocks = clocks_of(facts, *paste);
  // What a jar does in weeks is worth knowing; what a wet board does in hours decides the day.
  const bool grave = !paste->get<Duration>("stencil-life") || !paste->get<Duration>("print-to-place") || !paste->get<Duration>("print-to-reflow");
  if (!clocks.undecided.empty()) {
    yield.findings.push_back(finding(kCard, grave ? plan::Severity::undecided : plan::Severity::note, print, fmt::format("{}", fmt::join(clocks.undecided, "; ")), "take the times from the maker's sheet into a card of your own", {"", paste->place.file, Standing::stated}));
  }
  for (const std::string& note : clocks.notes) yield.findings.push_back(finding(kCard, plan::Severity::note, print, note, "", paste->get<Duration>("warm-up") ? paste->get<Duration>("warm-up")->source : practice()));
  const bool warmed = std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return s.process.text == "warm-paste" && warms_for(facts, s, print, *paste); });
  if (!warmed && paste->get<Duration>("warm-up")) {
    yield.findings.push_back(finding(kCard, plan::Severity::note, print, fmt::format("no step takes {} out of the cold: opened cold, it draws water", paste->name),
                                     fmt::format("add a step of process 'warm-paste', {} before it is opened, unless the jar stands in the room", in_words(paste->get<Duration>("warm-up")->low)), paste->get<Duration>("warm-up")->source));
  }
  for (const solder::Lag& lag : clocks.lags) {
    if (lag.from == solder::paste_event::kOnStencil) stencil_life(facts, print, lag, yield);
  }
}

}  // namespace handlot::rules
