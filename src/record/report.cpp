#include "record/report.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "calendar/zone.h"
#include "core/text.h"
#include "record/look.h"
#include "record/meant.h"

namespace handlot::record {
namespace {

using nlohmann::ordered_json;

calendar::Zone zone_of(const plan::Plan& plan) {
  const auto zone = calendar::Zone::find(plan.head.zone.empty() ? "UTC" : plan.head.zone);
  return zone ? *zone : *calendar::Zone::find("UTC");
}

std::string entry_words(const Entry& entry) {
  if (!entry.value) return entry.asked.what + ": seen";
  std::string out = fmt::format("{}: {}", entry.asked.what, number(*entry.value, 6));
  if (!entry.asked.unit.empty()) out += " " + entry.asked.unit;
  if (!entry.asked.limit.empty()) out += fmt::format(" ({})", entry.asked.limit);
  return entry.within ? out : out + ", OUTSIDE THE LIMITS";
}

/// Nobody goes on with what was begun of a unit that is scrapped.
std::string stand_words(const plan::Step& step, const Cell& cell, bool scrapped) {
  if (!scrapped || step.timing.whole_lot || cell.stand == Stand::done || cell.stand == Stand::open) return std::string(word(cell.stand));
  return "begun and given up";
}

std::string deed_words(const plan::Step& step, const Cell& cell, bool scrapped, const calendar::Zone& zone) {
  const auto at = cell.done ? cell.done : cell.leave ? cell.leave : cell.start;
  std::string out = stand_words(step, cell, scrapped);
  if (at) out += " " + dated(at->wall_ms - at->kept_ms, zone);
  if (cell.passes > 1) out += fmt::format(", pass {}", cell.passes);
  for (const auto& check : step.checks)
    if (const auto entry = cell.checks.find(check.id); entry != cell.checks.end())
      out += "; " + entry_words(entry->second);
  for (const auto& entry : cell.before) out += "; before: " + entry_words(entry);
  for (const auto& fault : cell.faults) out += "; done again: " + fault;
  for (const auto& entry : cell.gone) out += "; " + entry_words(entry) + ", which the job asks no more";
  for (const auto& note : cell.notes) out += "; note: " + note;
  if (!cell.photos.empty()) out += "; " + counted(static_cast<long>(cell.photos.size()), "photo", "photos");
  return out;
}

/// What stands in the record of steps and units that the job has no more.
std::vector<std::string> gone(const plan::Plan& plan, const State& state) {
  std::map<StepId, std::vector<int>> steps;
  std::map<int, long> units;
  for (const auto& [key, cell] : state.cells) {
    if (!key.first.empty() && !find_step(plan, key.first))
      steps[key.first].push_back(key.second);
    else if (key.second > state.lot)
      ++units[key.second];
  }
  std::vector<std::string> out;
  for (const auto& [step, of] : steps) out.push_back(fmt::format("step '{}': {}", step.text, units_text(of)));
  for (const auto& [unit, count] : units)
    out.push_back(fmt::format("unit {}: {}", unit, counted(count, "step", "steps")));
  return out;
}

UnitLine unit_line(const plan::Plan& plan, const State& state, int n, const calendar::Zone& zone) {
  UnitLine line;
  const auto& unit = state.units[static_cast<std::size_t>(n - 1)];
  line.unit = n;
  if (plan.head.serials.size() >= static_cast<std::size_t>(n))
    line.serial = plan.head.serials[static_cast<std::size_t>(n - 1)];
  line.scrapped = unit.scrapped;
  line.scrapped_because = unit.scrapped_because;
  line.reworks = unit.reworks;
  line.plan = unit.plan;
  line.steps = static_cast<int>(plan.work.steps.size());
  for (const auto& step : plan.work.steps) {
    const Cell* cell = cell_of(state, step, n);
    if (!cell) continue;
    if (cell->stand == Stand::done) ++line.done;
    line.deeds.push_back({step.id, deed_words(step, *cell, unit.scrapped, zone)});
    const std::string name = fmt::format("step {} ({})", step.number, step.title);
    for (const auto& reason : cell->because) line.against.push_back(name + ": " + reason);
    if (cell->stand == Stand::again)
      line.again.push_back(fmt::format("{} is to be done again: {}", name, cell->again_because));
  }
  return line;
}

std::vector<StepYield> yields(const plan::Plan& plan, const State& state) {
  std::vector<StepYield> out;
  for (const auto& step : plan.work.steps) {
    StepYield y;
    y.step = step.id;
    for (const auto& [key, cell] : state.cells) {
      if (key.first != step.id || (cell.stand == Stand::open && cell.checks.empty() && cell.first_time_right))
        continue;
      ++y.tried;
      if (cell.first_time_right && cell.passes <= 1 && cell.stand != Stand::again) ++y.first_time;
    }
    if (y.tried > 0) out.push_back(y);
  }
  return out;
}

/// Through every step, or lost on the way: one fault counts once, wherever it is found again.
Through through(const plan::Plan& plan, const State& state, const std::vector<UnitLine>& units) {
  Through out;
  for (const UnitLine& u : units) {
    if (!u.scrapped && u.done < u.steps) continue;
    ++out.units;
    const bool right = std::all_of(plan.work.steps.begin(), plan.work.steps.end(), [&](const plan::Step& step) {
      const Cell* cell = cell_of(state, step, u.unit);
      return cell && cell->first_time_right && cell->passes <= 1;
    });
    out.first_time += right && !u.scrapped ? 1 : 0;
  }
  return out;
}

std::string seconds_text(double s) {
  return in_words(Duration(std::llround(s)));
}

std::string times_line(const StepTimes& t, const plan::Step& step) {
  std::string out = fmt::format("  {:>4}  {:<40.40}  {:>9}  {:>9}", step.number, step.title,
                                t.planned_s > 0 ? seconds_text(t.planned_s) : "-", seconds_text(t.median_s));
  if (t.units >= 2) out += fmt::format("  {} to {}", seconds_text(t.low_s), seconds_text(t.high_s));
  out += fmt::format("  ({})", counted(t.units, "unit", "units"));
  if (t.curve && t.curve->slope() < 0.995)
    out += fmt::format("  each doubling leaves {:.0f} %", 100 * t.curve->slope());
  return out + "\n";
}

ordered_json line_json(const Event& e, const plan::Plan& plan, const State& state, const calendar::Zone& zone) {
  ordered_json j{{"seq", e.seq}, {"id", e.id}, {"kind", word(e.kind)}};
  if (e.unit != 0) j["unit"] = e.unit;
  if (!e.step.empty()) j["step"] = e.step.text;
  if (!e.item.empty()) j["item"] = e.item;
  if (!e.text.empty()) j["text"] = e.text;
  if (e.value) j[may_be_kept(e.kind) ? "kept_s" : "value"] = *e.value;
  const auto* step = find_step(plan, e.step);
  const auto* check = step && (e.kind == Kind::value || e.kind == Kind::tick) ? find_check(*step, e.item) : nullptr;
  const auto then = asked(e) ? asked(e) : check ? std::optional(asked(*check)) : std::nullopt;
  if (then && !then->what.empty()) j["check"] = then->what;
  if (then && !then->unit.empty()) j["value_unit"] = then->unit;
  if (then && !then->limit.empty()) j["limit"] = then->limit;
  if (!e.target.empty()) j["target"] = e.target;
  j["plan"] = e.plan;
  if (!e.screen.empty()) j["screen"] = e.screen;
  j["ran_ms"] = e.at.ran_ms;
  j["wall_ms"] = e.at.wall_ms;
  j["local"] = calendar::iso(Instant(e.at.wall_ms / 1000), zone);
  if (state.struck.count(e.id)) j["struck"] = true;
  return j;
}

ordered_json times_json(const StepTimes& t) {
  ordered_json j{{"step", t.step.text},    {"units", t.units}, {"planned_s", t.planned_s},
                 {"median_s", t.median_s}, {"low_s", t.low_s}, {"high_s", t.high_s}};
  if (t.suggested_s) j["suggested_s"] = *t.suggested_s;
  if (t.curve) j["learning"] = {{"first_s", t.curve->first_s}, {"slope", t.curve->slope()}};
  return j;
}

ordered_json unit_json(const UnitLine& u) {
  ordered_json j{{"unit", u.unit},   {"serial", u.serial},   {"done", u.done},
                 {"steps", u.steps}, {"reworks", u.reworks}, {"plan", u.plan}};
  if (u.scrapped) j["scrapped"] = u.scrapped_because;
  j["against"] = u.against;
  j["again"] = u.again;
  return j;
}

/// Step after step, what was done to each unit: a step of the whole lot once.
std::string deeds_text(const Report& report, const plan::Plan& plan) {
  std::string out;
  for (const auto& step : plan.work.steps) {
    std::string rows, last;
    for (const UnitLine& u : report.units) {
      const auto deed = std::find_if(u.deeds.begin(), u.deeds.end(), [&](const Deed& d) { return d.step == step.id; });
      if (deed == u.deeds.end() || (step.timing.whole_lot && deed->words == last)) continue;
      last = deed->words;
      rows += fmt::format("    {:>6}  {}\n", step.timing.whole_lot && rows.empty() ? "lot" : std::to_string(u.unit), deed->words);
    }
    if (!rows.empty()) out += fmt::format("  {:>4}  {}\n{}", step.number, step.title, rows);
  }
  return out.empty() ? out : "\nwhat was done\n" + out;
}

}  // namespace

namespace {

class LotsSeen {
 public:
  LotsSeen(const plan::Plan& plan, int unit) : plan_(plan), unit_(unit) {}

  void take(const Event& line) {
    if (line.kind == Kind::lot_opened) in_use_[line.item] = &line;
    if (line.kind == Kind::lot_used && (line.unit == unit_ || line.unit == 0)) add(line.item, {name_of(line.item, line.item), line.text, {}});
    if (line.kind == Kind::start || line.kind == Kind::done) pass(line);
  }
  const std::vector<UnitLot>& seen() const { return seen_; }

 private:
  void pass(const Event& line) {
    const auto* step = find_step(plan_, line.step);
    const bool ours = step && (line.unit == unit_ || (line.unit == 0 && step->timing.whole_lot));
    if (!ours || step->process == "reflow") return;  // the oven melts what was printed, and takes none from the jar
    for (const auto& material : step->materials) {
      const std::string& card = material.card.text;
      if (const auto open = in_use_.find(card); open != in_use_.end())
        add(card, {name_of(card, material.name), open->second->text, {}});
      else if (const auto known = plan_.material_lots.find(card); known != plan_.material_lots.end())
        add(card, {name_of(card, material.name), known->second, {}});
    }
  }

  std::string name_of(const std::string& card, const std::string& other) const {
    const auto row = std::find_if(plan_.kit.begin(), plan_.kit.end(), [&](const plan::KitRow& r) { return r.id == card; });
    return row == plan_.kit.end() ? other : row->name;
  }

  void add(const std::string& card, UnitLot lot) {
    if (const auto open = in_use_.find(card); open != in_use_.end() && open->second->text == lot.lot) lot.opened_wall_ms = open->second->at.wall_ms;
    const bool there = std::any_of(seen_.begin(), seen_.end(), [&](const UnitLot& l) { return l.material == lot.material && l.lot == lot.lot; });
    if (!there) seen_.push_back(std::move(lot));
  }

  const plan::Plan& plan_;
  int unit_;
  std::map<std::string, const Event*> in_use_;
  std::vector<UnitLot> seen_;
};

}  // namespace

std::vector<UnitLot> lots_of_unit(const plan::Plan& plan, const State& state, std::span<const Event> lines, int unit) {
  LotsSeen lots(plan, unit);
  const auto counting = as_meant(lines, state.struck);
  for (const Event& line : counting) lots.take(line);
  return lots.seen();
}

std::string dated(std::int64_t wall_ms, const calendar::Zone& zone) {
  const Instant at(wall_ms / 1000);
  const std::string text = calendar::short_text(at, zone);  // "Tue 1 Dec 08:30"
  std::size_t blank = 0;
  for (int i = 0; i < 3; ++i) blank = text.find(' ', blank + 1);
  return fmt::format("{} {}{}", text.substr(0, blank), zone.local(at).date.year, text.substr(blank));
}

std::string share(int part, int whole) {
  if (whole < kFewest) return fmt::format("{} of {}", part, whole);
  return fmt::format("{} of {} ({:.0f} %)", part, whole, 100.0 * part / whole);
}

Report report(const plan::Plan& plan, const State& state) {
  Report out;
  const auto zone = zone_of(plan);
  for (int n = 1; n <= state.lot; ++n) out.units.push_back(unit_line(plan, state, n, zone));
  out.gone = gone(plan, state);
  out.yields = yields(plan, state);
  out.times = step_times(plan, state);
  out.open_notes = state.notes;
  out.lines = state.seq;
  out.struck = static_cast<std::int64_t>(state.struck.size());
  out.through = through(plan, state, out.units);
  return out;
}

std::string text(const Report& report, const plan::Plan& plan) {
  std::string out = fmt::format("{} {}, {} in the record", plan.head.name, plan.head.revision,
                                counted(static_cast<long>(report.lines), "line", "lines"));
  if (report.struck > 0) out += fmt::format(", {} struck through", report.struck);
  out += "\n\nunits\n";
  for (const UnitLine& u : report.units) {
    out += fmt::format("  {:>4}  {:<16}  {:>3} of {} steps", u.unit, u.serial, u.done, u.steps);
    if (u.reworks > 0) out += fmt::format("  {}", counted(u.reworks, "rework", "reworks"));
    if (u.scrapped) out += "  scrapped: " + u.scrapped_because;
    out += "\n";
    for (const auto& again : u.again) out += "        " + again + "\n";
    for (const auto& against : u.against) out += "        " + against + "\n";
  }
  out += deeds_text(report, plan);
  if (!report.yields.empty()) out += "\nright the first time\n";
  for (const StepYield& y : report.yields) {
    const auto* step = find_step(plan, y.step);
    out += fmt::format("  {:>4}  {:<40.40}  {}\n", step->number, step->title, share(y.first_time, y.tried));
  }
  if (report.through.units > 0) out += fmt::format("  through all steps together: {}\n", share(report.through.first_time, report.through.units));
  if (!report.times.empty())
    out += "\nhands, a unit                                     planned     median  middle half\n";
  for (const StepTimes& t : report.times) out += times_line(t, *find_step(plan, t.step));
  if (!report.open_notes.empty()) out += "\nnotes\n";
  for (const auto& note : report.open_notes) out += "  " + note + "\n";
  if (!report.gone.empty()) out += "\nwritten down, and not in the job any more\n";
  for (const auto& line : report.gone) out += "  " + line + "\n";
  return out;
}

std::string json(const Report& report, const plan::Plan& plan, const State& state,
                 std::span<const Event> lines) {
  ordered_json j;
  j["job"] = {{"name", plan.head.name},
              {"revision", plan.head.revision},
              {"lot", plan.head.lot},
              {"hash", plan.head.hash}};
  j["units"] = ordered_json::array();
  for (const auto& u : report.units) j["units"].push_back(unit_json(u));
  j["yield"] = ordered_json::array();
  for (const auto& y : report.yields) {
    ordered_json row{{"step", y.step.text}, {"tried", y.tried}, {"first_time", y.first_time}};
    j["yield"].push_back(row);
  }
  j["through"] = {{"units", report.through.units}, {"first_time", report.through.first_time}};
  j["times"] = ordered_json::array();
  for (const auto& t : report.times) j["times"].push_back(times_json(t));
  j["notes"] = report.open_notes;
  j["gone"] = report.gone;
  j["lines"] = ordered_json::array();
  const auto zone = zone_of(plan);
  for (const Event& e : lines) j["lines"].push_back(line_json(e, plan, state, zone));
  return j.dump(2, ' ', false, ordered_json::error_handler_t::replace);
}

}  // namespace handlot::record
