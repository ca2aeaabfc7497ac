#include "pipeline/placing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

#include "core/text.h"
#include "job/station_use.h"
#include "pipeline/placing_parts.h"
#include "rules/board_work.h"
#include "rules/paste_clock.h"
#include "rules/saying.h"

namespace handlot::pipeline {

namespace {

using rules::Facts;
using solder::Placement;

/// Corners of the board about the origin that the places use; empty where that can't be told.
solder::Ring outline_of(const Facts& facts, const job::Step& step, const std::vector<Placement>& parts) {
  const job::Part* part = rules::board_of(facts, step.on);
  if (part == nullptr) return {};
  const catalogue::Card* board = &facts.card(part->card);
  const auto length = board->get<Millimetres>("length"), width = board->get<Millimetres>("width");
  if (!length || !width) return {};
  const double l = length->high.value, w = width->high.value;
  const auto all_within = [&](double x0, double y0) {
    return std::all_of(parts.begin(), parts.end(), [&](const Placement& p) { return p.centre.x >= x0 && p.centre.x <= x0 + l && p.centre.y >= y0 && p.centre.y <= y0 + w; });
  };
  const bool round = !board->solid.empty() && !board->solid.front().children.empty() && (board->solid.front().children.front().name == "disc" || board->solid.front().children.front().name == "cylinder");
  if (all_within(-l / 2, -w / 2)) {
    if (!round) return {{-l / 2, -w / 2}, {l / 2, -w / 2}, {l / 2, w / 2}, {-l / 2, w / 2}};
    solder::Ring ring;
    constexpr int kCorners = 72;
    for (int i = 0; i < kCorners; ++i) {
      const double a = 2 * std::numbers::pi * i / kCorners;
      ring.push_back({l / 2 * std::cos(a), l / 2 * std::sin(a)});
    }
    return ring;
  }
  if (!round && all_within(0, 0)) return {{0, 0}, {l, 0}, {l, w}, {0, w}};
  return {};
}

/// Glass and thin things last: a sleeve must not brush over them.
std::vector<solder::PlacingAfter> fragile_last(const Facts& facts, const std::vector<PlacedPart>& placed) {
  std::set<std::string> fragile, other;
  for (const PlacedPart& p : placed) (facts.card_of(p.id).yes("fragile") ? fragile : other).insert(p.placement.bag);
  std::vector<solder::PlacingAfter> after;
  for (const std::string& bag : fragile) {
    for (const std::string& before : other) {
      if (!fragile.contains(before)) after.push_back({bag, before, "it is fragile, and a hand passes over what lies there already"});
    }
  }
  return after;
}

/// What cannot be told from the card, the step's own words may say: "This way" on the sheet.
std::string which_way(const job::Step& step, const std::vector<Placement>& parts, const solder::PlacingGroup& group) {
  const std::string unknown = step.orientation.empty() ? "CAN BE TURNED WRONG: its mark is not known" : "CAN BE TURNED WRONG: see 'This way' of the step";
  std::set<std::string> marks, places;
  for (const std::size_t i : group.order) {
    if (parts[i].polarised) marks.insert(parts[i].mark.empty() ? unknown : parts[i].mark);
    else if (!parts[i].mark.empty()) places.insert(parts[i].mark);
  }
  if (marks.empty() && !places.empty()) return "one way only: " + listed(std::vector<std::string>(places.begin(), places.end()));
  const std::vector<std::string> words(marks.begin(), marks.end());
  return words.empty() ? "either way round" : listed(words);
}

std::string references(const std::vector<Placement>& parts, const solder::PlacingGroup& group) {
  std::vector<std::string> refs;
  for (const std::size_t i : group.order) refs.push_back(parts[i].part);
  return fmt::format("{}", fmt::join(refs, " "));
}

plan::PageTable table_of(const job::Step& step, const std::vector<Placement>& parts, const solder::PlacingPlan& plan) {
  plan::PageTable table{"Parts in the order of placing", {"No.", "Value", "Bag", "Each board", "References, near neighbours in a row", "Which way", "Why now"}, {0.7, 1.5, 2.4, 1.0, 4.2, 2.4, 2.6}, {}};
  for (std::size_t g = 0; g < plan.groups.size(); ++g) {
    const solder::PlacingGroup& group = plan.groups[g];
    table.rows.push_back({fmt::format("{}", g + 1), group.value, group.bag, fmt::format("{}", group.order.size()), references(parts, group), which_way(step, parts, group), group.why});
  }
  return table;
}

/// How many boards may lie printed at once, by the paste and the times of the job.
std::string boards_line(const Facts& facts, const job::Step& step) {
  const job::Step* print = nullptr;
  for (const job::Step& s : facts.job.steps) {
    if (s.process.text == "print-paste" && rules::same_or_within(facts, s.on, step.on)) print = &s;
  }
  const auto ovens = rules::ovens_after(facts, step);
  if (print == nullptr || ovens.empty()) return {};
  const auto* paste = rules::used_card(facts, *print, catalogue::CardKind::paste);
  if (paste == nullptr) return {};
  const auto times = rules::paste_times(*paste);
  if (!times.print_to_oven) return {};
  const auto seconds = [](Duration d) { return Seconds(static_cast<double>(d.seconds)); };
  const job::Step& oven = *ovens.front();
  const job::Station* station = facts.job.station(oven.station);
  const std::optional<Seconds> place_limit = times.print_to_place ? std::optional(seconds(times.print_to_place->time)) : std::nullopt;
  const auto most = solder::boards_at_once(facts.job.units, seconds(print->run), seconds(step.run), seconds(oven.setup + oven.run + oven.unattended), station == nullptr ? 1 : job::places_of(*station), seconds(times.print_to_oven->time), place_limit);
  std::string text = fmt::format("{} ({}, {})", most.text, paste->name, describe(times.print_to_oven->source));
  for (const std::string& how : rules::clocks_of(facts, *paste).handling) text += "; " + how;
  return text;
}

std::vector<std::string> lines_of(const Facts& facts, const job::Step& step, const solder::PlacingPlan& plan, std::size_t count) {
  std::vector<std::string> lines;
  lines.push_back(fmt::format("{} from {}, low and small first; planning values come to {} a board, the job plans {}.", counted(static_cast<long>(count), "part", "parts"), counted(static_cast<long>(plan.groups.size()), "bag", "bags"),
                              in_words(Duration(std::lround(plan.time.value))), in_words(step.run)));
  if (const std::string boards = boards_line(facts, step); !boards.empty()) lines.push_back(fmt::format("Paste: {}.", boards));
  for (const std::string& note : plan.notes) lines.push_back(fmt::format("Note: {}.", note));
  return lines;
}

void add_page(const Facts& facts, const job::Step& step, const std::vector<PlacedPart>& placed, bool bottom, plan::Plan& plan) {
  std::vector<Placement> parts;
  for (const PlacedPart& p : placed) parts.push_back(p.placement);
  const auto order = solder::plan_placing(parts, {}, fragile_last(facts, placed));
  if (!order) return;
  plan::Page page;
  page.id = fmt::format("placing-{}{}", step.id.text, bottom ? "-bottom" : "");
  page.title = fmt::format("Placing: {}{}", step.title, bottom ? ", bottom side" : "");
  page.step = step.id;
  page.lines = lines_of(facts, step, *order, parts.size());
  page.tables.push_back(table_of(step, parts, *order));
  for (std::size_t g = 0; g < order->groups.size(); ++g) {
    page.ticks.push_back(fmt::format("{}. {} x {}", g + 1, order->groups[g].order.size(), order->groups[g].value));
  }
  plan.pages.push_back(page);
  solder::BoardPicture board{outline_of(facts, step, parts), bottom, "", Millimetres(88)};
  for (std::size_t g = 0; g < order->groups.size(); ++g) {
    plan::Page drawing;
    drawing.id = fmt::format("{}-{}", page.id, g + 1);
    drawing.title = fmt::format("{}, bag {} of {}", page.title, g + 1, order->groups.size());
    drawing.step = step.id;
    drawing.picture_svg = solder::placing_picture(parts, *order, g, board);
    drawing.picture_height_mm = 115;
    drawing.follows = g % 2 == 1;
    plan.pages.push_back(std::move(drawing));
  }
}

}  // namespace

void add_placing_pages(const Facts& facts, const solder::PlacementList* list, plan::Plan& plan, std::vector<plan::Finding>& findings) {
  if (list != nullptr) {
    for (plan::Finding& f : list_against_job(facts, *list)) findings.push_back(std::move(f));
  }
  for (const plan::Step& s : plan.work.steps) {
    const job::Step& step = *facts.job.step(s.id);
    if (step.process.text != "place") continue;
    const std::vector<PlacedPart> placed = placed_parts(facts, step, list);
    for (const bool bottom : {false, true}) {
      std::vector<PlacedPart> side;
      std::copy_if(placed.begin(), placed.end(), std::back_inserter(side), [&](const PlacedPart& p) { return p.bottom == bottom; });
      if (!side.empty()) add_page(facts, step, side, bottom, plan);
    }
  }
}

}  // namespace handlot::pipeline
