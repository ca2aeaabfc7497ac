#include "bench/unit_sheet.h"

#include <fmt/format.h>

#include "core/text.h"
#include "record/report.h"

namespace handlot::bench {
namespace {

using record::Cell;
using record::Event;
using sheets::Table;

std::string moment(const Desk& desk, std::int64_t wall_ms) {
  return record::dated(wall_ms, desk.zone);
}

std::string serial(const plan::Plan& plan, int unit) {
  const auto at = static_cast<std::size_t>(unit - 1);
  return at < plan.head.serials.size() ? plan.head.serials[at] : fmt::format("unit {}", unit);
}

sheets::Facts facts(const Desk& desk, int unit) {
  const auto& head = desk.g.plan.head;
  const auto& u = desk.g.state.units[static_cast<std::size_t>(unit - 1)];
  sheets::Facts out;
  out.rows = {{"Serial", serial(desk.g.plan, unit)},
              {"Unit", fmt::format("{} of {}", unit, desk.g.state.lot)},
              {"Device", head.name + " " + (u.revision.empty() ? head.revision : u.revision)},
              {"Plan", u.plan.empty() ? head.hash : u.plan}};
  for (const auto& document : head.documents) out.rows.emplace_back(document.name, document.revision);
  for (const auto& lot : record::lots_of_unit(desk.g.plan, desk.g.state, desk.g.lines, unit))
    out.rows.emplace_back(lot.material, "lot " + lot.lot + (lot.opened_wall_ms ? ", opened " + moment(desk, *lot.opened_wall_ms) : ""));
  if (u.reworks > 0) out.rows.emplace_back("Reworked", counted(u.reworks, "time", "times"));
  if (u.scrapped) out.rows.emplace_back("Scrapped", u.scrapped_because);
  return out;
}

std::string short_name(const std::string& photo) {
  return photo.substr(0, 8);
}

std::string entry_words(const record::Entry& e) {
  std::string text = e.asked.what + ": " + (e.value ? number(*e.value, 6) + " " + e.asked.unit : "seen");
  if (e.value && !e.asked.limit.empty()) text += " (" + e.asked.limit + ")";
  return text + (e.within ? "" : ", OUTSIDE THE LIMITS");
}

/// Values, limits and words of one step, one after the other.
std::string words(const plan::Step& step, const Cell& cell) {
  std::vector<std::string> out;
  for (const auto& check : step.checks) {
    const auto entry = cell.checks.find(check.id);
    if (entry == cell.checks.end()) {
      if (cell.stand == record::Stand::done) out.push_back(check.what + ": not recorded");
      continue;
    }
    out.push_back(entry_words(entry->second));
  }
  for (const auto& entry : cell.gone) out.push_back(entry_words(entry) + ", which the job asks no more");
  for (const auto& reason : cell.because) out.push_back("all the same, because: " + reason);
  if (!cell.again_because.empty()) out.push_back("again, because: " + cell.again_because);
  for (const auto& note : cell.notes) out.push_back("note: " + note);
  for (const auto& photo : cell.photos) out.push_back("photo " + short_name(photo));
  return fmt::format("{}", fmt::join(out, "; "));
}

sheets::Column column(const char* head, double share) {
  sheets::Column out;
  out.head = head;
  out.share = share;
  return out;
}

sheets::Cell cell_with(std::string text) {
  sheets::Cell out;
  out.text = std::move(text);
  return out;
}

Table steps(const Desk& desk, int unit) {
  Table table;
  table.caption = "Steps of the unit";
  table.columns = {column("Step", 3), column("Stands", 1.2), column("Done", 1.6),
                   column("Values and words", 4)};
  for (const auto& step : desk.g.plan.work.steps) {
    const Cell* cell = record::cell_of(desk.g.state, step, unit);
    std::string done = cell && cell->done ? moment(desk, cell->done->wall_ms - cell->done->kept_ms) : "";
    if (cell && cell->passes > 1) done += fmt::format(", pass {}", cell->passes);
    table.rows.push_back({cell_with(fmt::format("{} {}", step.number, step.title)),
                          cell_with(std::string(record::word(cell ? cell->stand : record::Stand::open))),
                          cell_with(done), cell_with(cell ? words(step, *cell) : "")});
  }
  return table;
}

Table lines(const Desk& desk, int unit) {
  Table table;
  table.caption = "Lines of the record";
  table.columns = {column("Line", 0.6), column("When", 1.6), column("What", 6)};
  for (const Event& e : desk.g.lines) {
    const auto* step = record::find_step(desk.g.plan, e.step);
    if (e.unit != unit && !(e.unit == 0 && step && step->timing.whole_lot)) continue;
    const bool struck = desk.g.state.struck.count(e.id) > 0;
    table.rows.push_back({cell_with(std::to_string(e.seq)), cell_with(moment(desk, e.at.wall_ms)),
                          cell_with((struck ? "STRUCK THROUGH: " : "") + record::in_words(desk.g.plan, e))});
  }
  return table;
}

sheets::Section photo_section(const Desk& desk, int unit, const Photos& photos) {
  sheets::Section out;
  out.id = "photos";
  out.title = "Photos";
  out.new_page = false;
  for (const auto& step : desk.g.plan.work.steps) {
    const Cell* cell = record::cell_of(desk.g.state, step, unit);
    if (!cell) continue;
    for (const auto& name : cell->photos) {
      const auto photo = photos.find(name);
      if (photo == photos.end()) continue;
      const std::string what =
          fmt::format("Photo {}: step {} {}", short_name(name), step.number, step.title);
      const std::string svg = photo_svg(photo->second);
      out.blocks.push_back(sheets::Para{svg.empty() ? what + ". It cannot be printed: see the page of the unit." : what});
      if (!svg.empty()) out.blocks.push_back(sheets::Picture{svg, what, 100});
    }
  }
  return out;
}

}  // namespace

std::vector<std::string> photo_names(const Desk& desk, int unit) {
  std::vector<std::string> out;
  for (const auto& step : desk.g.plan.work.steps)
    if (const Cell* cell = record::cell_of(desk.g.state, step, unit))
      out.insert(out.end(), cell->photos.begin(), cell->photos.end());
  return out;
}

sheets::Sheet unit_sheet(const Desk& desk, int unit, const Photos& photos) {
  const auto& head = desk.g.plan.head;
  sheets::Sheet out;
  out.title = fmt::format("Build record: {}, {}", head.name, serial(desk.g.plan, unit));
  out.strip =
      fmt::format("{} {}, {}, plan {}", head.name, head.revision, serial(desk.g.plan, unit), head.hash);
  out.foot = fmt::format("as of {}, {} in the record",
                         calendar::long_text(Instant(desk.g.now.wall_ms / 1000), desk.zone),
                         counted(static_cast<long>(desk.g.state.seq), "line", "lines"));
  out.author = head.builder;
  out.made = Instant(desk.g.now.wall_ms / 1000);
  sheets::Section unit_section;
  unit_section.id = "unit";
  unit_section.title = out.title;
  unit_section.blocks = {facts(desk, unit), steps(desk, unit)};
  sheets::Section lines_section;
  lines_section.id = "lines";
  lines_section.title = "Lines of the record";
  lines_section.new_page = false;
  lines_section.blocks = {lines(desk, unit)};
  out.sections = {unit_section};
  if (!photos.empty()) out.sections.push_back(photo_section(desk, unit, photos));
  out.sections.push_back(lines_section);
  return out;
}

}  // namespace handlot::bench
