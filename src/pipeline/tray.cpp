// Boards that are said to lie on a tray together do, and a station whose places nobody counted is said to have one.
#include <fmt/format.h>

#include "core/text.h"
#include "job/station_use.h"
#include "pipeline/soldering.h"
#include "rules/saying.h"
#include "schedule/boards.h"

namespace handlot::pipeline {

namespace {

/// Boards laid rim to rim, upright and turned; nothing where the tray of the card or the board of the job is not known.
std::optional<int> most_on_tray(const job::Station& station, const catalogue::Catalogue& cards) {
  const catalogue::Card* card = cards.find(station.card);
  if (card == nullptr || !station.board_length || !station.board_width || station.board_length->value <= 0 || station.board_width->value <= 0) return std::nullopt;
  const auto length = card->get<Millimetres>("tray-length"), width = card->get<Millimetres>("tray-width");
  if (!length || !width) return std::nullopt;
  return schedule::boards_that_fit(length->high, width->high, *station.board_length, *station.board_width, Millimetres(0), true);
}

}  // namespace

void trays_hold(const rules::Facts& facts, std::vector<plan::Finding>& findings) {
  for (const job::Station& station : facts.job.bench.stations) {
    const auto most = most_on_tray(station, facts.cards);
    if (!most || job::places_of(station) <= *most) continue;
    const catalogue::Card& card = facts.card(station.card);
    plan::Finding f;
    f.rule = RuleId("station-tray");
    f.severity = plan::Severity::warn;
    f.message = fmt::format("'{}' is said to take {} of {} x {} mm at once, and {} on its tray of {} x {} mm", station.name, counted(job::places_of(station), "board", "boards"), number(station.board_length->value), number(station.board_width->value),
                            *most == 0 ? std::string("none lies flat") : fmt::format("{} {}", *most, *most == 1 ? "lies" : "lie"), number(card.get<Millimetres>("tray-length")->high.value), number(card.get<Millimetres>("tray-width")->high.value));
    f.mend = *most == 0 ? std::string("take an oven with a larger tray, or correct board-length and board-width") : fmt::format("write places=\"{}\"; if your tray is another, copy the card of the station with its own tray-length and tray-width", *most);
    f.source = rules::practice();
    f.place = station.place;
    findings.push_back(std::move(f));
  }
}

void places_taken(const rules::Facts& facts, std::vector<plan::Finding>& findings) {
  for (const job::Station& station : facts.job.bench.stations) {
    if (station.capacity > 0 || station.together || facts.job.units == 1) continue;
    plan::Finding f;
    for (const job::Step& step : facts.job.steps) {
      if (step.station == station.id && job::takes_its_station(step) && job::places_for_each_unit(step, station, facts.cards)) f.steps.push_back(step.id);
    }
    if (f.steps.empty()) continue;
    f.rule = RuleId("station-places");
    f.severity = plan::Severity::note;
    f.message = fmt::format("'{}' does not say how many units fit at once: one is reckoned, and unit after unit lies there through the whole time of '{}'", station.name, f.steps.front().text);
    f.mend = "write places=\"...\" into the station if more fit at once";
    f.source = rules::stated();
    f.place = station.place;
    findings.push_back(std::move(f));
  }
}

}  // namespace handlot::pipeline
