#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "core/text.h"
#include "sheets/sections.h"
#include "sheets/timeline.h"

namespace handlot::sheets {

namespace {

Cell plain(std::string text) {
  return {std::move(text), Cell::Form::text, ""};
}
Cell strong(std::string text) {
  return {std::move(text), Cell::Form::strong, ""};
}
Cell tick() {
  return {"", Cell::Form::tick, ""};
}
Cell blank() {
  return {"", Cell::Form::blank, ""};
}

std::string amount(double value, const std::string& unit) {
  // A drop of oil is milligrams, not nothing.
  if (unit == "g" && value > 0 && value < 0.1) return number(value * 1000, 1) + " mg";
  if (unit == "m" && value > 0 && value < 1) return number(value * 1000, 1) + " mm";
  return number(value, 2) + (unit.empty() ? "" : " " + unit);
}

std::string described(const plan::KitRow& row) {
  std::string out = row.name;
  if (!row.spec.empty()) out += ", " + row.spec;
  if (!row.size.empty()) out += ", " + row.size;
  if (!row.look_alikes.empty()) out += ". LOOKS LIKE " + listed(row.look_alikes) + ": read the label";
  return out;
}

Cell step_cell(const View& view, const plan::KitRow& row) {
  if (row.first_step.empty()) return plain("");
  return {view.number(StepId(row.first_step)), Cell::Form::text, "step-" + row.first_step};
}

std::string lot_amount(const plan::KitRow& row) {
  return row.lot > 0 ? amount(row.lot, row.unit) : "as needed";
}

/// Wide enough for the longest label; none where nothing is bagged.
double bag_share(const std::vector<const plan::KitRow*>& rows) {
  std::size_t longest = 0;
  for (const auto* row : rows) longest = std::max(longest, row->bag.size());
  return longest == 0 ? 0 : std::clamp(0.16 * static_cast<double>(longest), 1.1, 3.0);
}

Table kit_table(const View& view, const std::vector<const plan::KitRow*>& rows, const std::string& caption) {
  const bool pictures =
      std::any_of(rows.begin(), rows.end(), [](const auto* r) { return !r->picture_svg.empty(); });
  const double bags = bag_share(rows);
  Table table{caption, {{rows.front()->kind == "made" ? "Made" : rows.front()->kind == "tool" ? "At hand" : "In tray", 1.1}}};
  table.roomy = true;
  if (pictures) table.columns.push_back({"Picture", 2});
  if (bags > 0) table.columns.push_back({"Bag", bags});
  const bool counted = rows.front()->kind != "tool";
  table.columns.push_back({"What", counted ? 6.0 : 10.3});
  if (counted) table.columns.insert(table.columns.end(), {{"A unit", 1.5, true}, {"The lot", 1.6, true}, {"Spare", 1.2, true}});
  table.columns.push_back({"Step", 1.1, true});
  for (const auto* row : rows) {
    std::vector<Cell> cells{tick()};
    if (pictures)
      cells.push_back(
          {row->picture_svg, row->picture_svg.empty() ? Cell::Form::text : Cell::Form::picture, ""});
    if (bags > 0) cells.push_back(strong(row->bag));
    cells.push_back(plain(described(*row)));
    if (counted) {
      cells.push_back(plain(row->per_unit > 0 ? amount(row->per_unit, row->unit) : ""));
      cells.push_back(strong(lot_amount(*row)));
      cells.push_back(plain(row->spare > 0 ? amount(row->spare, row->unit) : ""));
    }
    cells.push_back(step_cell(view, *row));
    table.rows.push_back(std::move(cells));
  }
  return table;
}

/// Materials have lots that are written down when they are opened.
Table material_table(const View& view, const std::vector<const plan::KitRow*>& rows,
                     const std::string& caption) {
  const bool spare = std::any_of(rows.begin(), rows.end(), [](const auto* r) { return r->spare > 0; });
  Table table{caption, {{"In tray", 1.1}, {"What", 4.4}, {"A unit", 1.3, true}, {"The lot", 1.5, true}}};
  if (spare) table.columns.push_back({"Spare", 1.1, true});
  table.columns.insert(table.columns.end(), {{"Step", 1, true},
                                             {"Lot number", 2.2},
                                             {"Best before", 1.8},
                                             {"Opened", 1.8}});
  table.roomy = true;
  for (const auto* row : rows) {
    const auto known = view.plan().material_lots.find(row->id);
    const bool has = known != view.plan().material_lots.end() && !known->second.empty();
    std::vector<Cell> cells{tick(), plain(described(*row)),
                            plain(row->per_unit > 0 ? amount(row->per_unit, row->unit) : ""),
                            strong(lot_amount(*row))};
    if (spare) cells.push_back(plain(row->spare > 0 ? amount(row->spare, row->unit) : ""));
    cells.insert(cells.end(), {step_cell(view, *row), has ? strong(known->second) : blank(), blank(), blank()});
    table.rows.push_back(std::move(cells));
  }
  return table;
}

/// "at least 2 h", "within 4 h", "10 min to 20 min"
std::string short_span(const View& view, const plan::Wait& wait) {
  if (wait.latest) return "by " + view.clock().moment(*wait.latest);
  if (wait.min.seconds <= 0) return wait.max ? "within " + in_words(*wait.max) : "";
  return wait.max ? in_words(wait.min) + " to " + in_words(*wait.max) : "at least " + in_words(wait.min);
}

std::string wait_after(const View& view, const plan::Step& step) {
  std::string out;
  for (const auto& wait : view.plan().waits) {
    if (wait.from.step != step.id) continue;
    const std::string span = short_span(view, wait);
    if (out.find(span) == std::string::npos) out += (out.empty() ? "" : "; ") + span;
  }
  return out;
}

std::string short_marks(const plan::Step& step) {
  std::string out;
  if (step.hold) out += " · HOLD";
  if (step.irreversible) out += " · NO WAY BACK";
  return out;
}

/// "lot", "all", "each", "3 batches"
std::string batches_of(const View& view, const plan::Step& step) {
  const auto& ops = view.operations(step.id);
  if (step.timing.whole_lot || ops.empty()) return "lot";
  if (ops.size() == 1) return "all";
  if (ops.size() == static_cast<std::size_t>(view.lot())) return "each";
  return fmt::format("{} batches", ops.size());
}

std::string starts_of(const View& view, const plan::Step& step) {
  const auto& ops = view.operations(step.id);
  if (ops.empty()) return "";
  const auto* first =
      *std::min_element(ops.begin(), ops.end(), [](auto* a, auto* b) { return a->start < b->start; });
  return view.clock().moment(first->start);
}

Duration hands_of(const View& view, const plan::Step& step) {
  Duration sum{0};
  for (const auto* op : view.operations(step.id)) sum += op->hands_on;
  return sum;
}

Table sequence_table(const View& view) {
  Table table{"The steps in order",
              {{"Step", 0.8, true},
               {"What", 4.7},
               {"Units", 1.7},
               {"Hands", 1.8, true},
               {"Starts", 3.1},
               {"Then wait", 2.7},
               {"Page", 1.0, true, true}}};
  for (const auto& step : view.plan().work.steps) {
    table.rows.push_back({strong(fmt::format("{}", step.number)),
                          {step.title + short_marks(step), Cell::Form::text, "step-" + step.id.text},
                          plain(batches_of(view, step)),
                          plain(hands_of(view, step).seconds > 0 ? in_words(hands_of(view, step)) : ""),
                          plain(starts_of(view, step)),
                          plain(wait_after(view, step)),
                          {"", Cell::Form::page, "step-" + step.id.text}});
  }
  return table;
}

/// What is measured and written down, of the steps on each unit or of those that are done once for the lot.
Table values_table(const View& view, bool whole_lot, const std::string& of) {
  Table table{"Values of " + of,
              {{"Step", 1, true},
               {"What, " + of, 5},
               {"Limit", 2.6},
               {"Value", 2.2},
               {"In limit", 1.1},
               {"Date, initials", 2}},
              {},
              true};
  for (const auto& step : view.plan().work.steps) {
    if (step.timing.whole_lot != whole_lot) continue;
    for (const auto& check : step.checks) {
      if (!check.value && !step.hold) continue;
      table.rows.push_back({strong(fmt::format("{}", step.number)), plain(capital(check.what)),
                            strong(check.limit.empty() ? "yes" : check.limit), blank(), tick(), blank()});
    }
  }
  return table;
}

Table rework_table(const std::string& caption, int rows, bool names_unit) {
  Table table{caption, {}, {}, true};
  if (names_unit) table.columns.push_back({"Unit", 1.1});
  table.columns.insert(table.columns.end(), {{"Rework at step", 1.6},
                                             {"What was wrong, where", 4},
                                             {"What was done", 4},
                                             {"Tested again", 1.4},
                                             {"Date, initials", 2}});
  for (int row = 0; row < rows; ++row) {
    table.rows.push_back({blank(), blank(), blank(), tick(), blank()});
    if (names_unit) table.rows.back().insert(table.rows.back().begin(), blank());
  }
  return table;
}

void add_record(const View& view, int unit, Section& section) {
  section.blocks.push_back(Subheading{"Unit " + view.unit(unit)});
  Table table = values_table(view, false, "unit " + view.unit(unit));
  table.whole = table.keep_with_next = true;
  if (!table.rows.empty()) section.blocks.push_back(std::move(table));
  Table rework = rework_table("Rework of unit " + view.unit(unit), 2, false);
  rework.whole = true;
  section.blocks.push_back(std::move(rework));
}

/// Nothing is measured on a unit: pages of empty frames would be its record.
bool only_rework(const View& view) {
  constexpr int kFew = 4;
  return view.lot() > kFew && values_table(view, false, "a unit").rows.empty();
}

void add_rework_of_any(const View& view, Section& section) {
  section.blocks.push_back(Para{"No value is written down on a unit of this lot: one line for each rework. When the lines are full, copy this page.", Para::Style::body});
  section.blocks.push_back(rework_table("Rework of the units", std::clamp(view.lot(), 6, 16), true));
}

Table leftover_table(const plan::Plan& plan) {
  Table table{"Left over at the end",
              {{"What", 5},
               {"Counted in", 1.6},
               {"Built in", 1.6, true},
               {"Scrapped", 1.6},
               {"Back in stock", 1.6},
               {"Left over = 0", 1.8}},
              {},
              true};
  for (const auto& row : plan.kit) {
    if (row.kind != "part" && row.kind != "screw" && row.kind != "made") continue;
    table.rows.push_back({plain(row.name + (row.bag.empty()              ? ""
                                            : row.bag.starts_with("bag") ? " (" + row.bag + ")"
                                                                         : " (bag " + row.bag + ")")),
                          blank(), plain(amount(row.per_unit * plan.head.lot, row.unit)), blank(), blank(),
                          blank()});
  }
  return table;
}

std::string severity_text(const plan::Finding& f) {
  return f.waived_because ? upper(plan::word(f.severity)) + ", waived" : upper(plan::word(f.severity));
}

std::string finding_text(const plan::Finding& f) {
  std::string out = sentence(f.message);
  if (!f.mend.empty()) out += " Mend: " + f.mend + ".";
  if (f.waived_because) out += " Waived because: " + sentence(*f.waived_because);
  return out + " [" + f.rule.text + "]";
}

bool used(const plan::Work& work, const plan::Resource& resource) {
  return std::any_of(work.steps.begin(), work.steps.end(), [&](const plan::Step& step) {
    return std::any_of(step.timing.uses.begin(), step.timing.uses.end(), [&](const plan::Use& use) { return use.resource == resource.id; });
  });
}

/// What heats and what measures in this lot is told from its twin by a number.
Table equipment_of(const View& view) {
  Table table{"Equipment used", {{"Equipment", 4}, {"Its number", 2.2}, {"Checked on", 2.2}}, {}, false};
  std::set<std::string> names, places;
  for (const auto& r : view.plan().work.resources) {
    if (r.kind != plan::Resource::Kind::station) continue;
    places.insert(view.resource(r.id));
    if (r.warm_up.seconds > 0 && used(view.plan().work, r)) names.insert(view.resource(r.id));
  }
  for (const auto& step : view.plan().work.steps) {
    const bool measures = std::any_of(step.checks.begin(), step.checks.end(), [](const auto& c) { return c.value; });
    for (const auto& tool : step.tools) {
      if (measures && !places.contains(tool.name)) names.insert(tool.name);
    }
  }
  for (const auto& name : names) table.rows.push_back({{name, Cell::Form::text, ""}, {"", Cell::Form::blank, ""}, {"", Cell::Form::blank, ""}});
  return table;
}

}  // namespace

Section findings(const View& view) {
  Section section{.id = "findings", .title = "Findings", .new_page = false};
  Table table{"Findings of the checks",
              {{"How grave", 1.9}, {"What was found", 6.2}, {"Steps", 1.3}, {"Source", 2.4}},
              {},
              false};
  for (const auto& f : view.plan().findings) {
    std::string numbers;
    for (const auto& id : f.steps) numbers += (numbers.empty() ? "" : ", ") + view.number(id);
    table.rows.push_back(
        {strong(severity_text(f)), plain(finding_text(f)), plain(numbers), plain(describe(f.source))});
  }
  if (!table.rows.empty()) section.blocks.push_back(std::move(table));
  return section;
}

Section kit(const View& view) {
  Section section{.id = "kit", .title = "Kit: everything before you start", .short_title = "Kit"};
  struct Kind {
    const char* kind;
    const char* title;
  };
  static constexpr Kind kKinds[] = {{"part", "Parts"},
                                    {"made", "Made in this lot, not to be fetched"},
                                    {"screw", "Screws"},
                                    {"material", "Materials"},
                                    {"consumable", "Consumables"},
                                    {"tool", "Tools"}};
  std::vector<const plan::KitRow*> rest;
  for (const auto& row : view.plan().kit) rest.push_back(&row);
  const auto take = [&](const std::string& kind) {
    std::vector<const plan::KitRow*> taken;
    for (const auto* row : rest) {
      if (kind.empty() || row->kind == kind) taken.push_back(row);
    }
    std::erase_if(rest, [&](const auto* row) { return kind.empty() || row->kind == kind; });
    return taken;
  };
  const auto put = [&](const std::vector<const plan::KitRow*>& rows, const std::string& title) {
    if (rows.empty()) return;
    section.blocks.push_back(Subheading{title});
    section.blocks.push_back(rows.front()->kind == "material" ? material_table(view, rows, title)
                                                              : kit_table(view, rows, title));
  };
  for (const auto& [kind, title] : kKinds) put(take(kind), title);
  put(take(""), "Other");
  if (Table equipment = equipment_of(view); !equipment.rows.empty()) {
    section.blocks.push_back(Subheading{"Equipment"});
    section.blocks.push_back(std::move(equipment));
  }
  return section;
}

Section sequence(const View& view) {
  Section section{.id = "sequence", .title = "The sequence", .short_title = "Sequence", .notes = true};
  if (view.plan().work.steps.empty()) return section;
  section.blocks.push_back(sequence_table(view));
  auto drawings = timeline(view);
  if (drawings.empty()) return section;
  section.blocks.push_back(Subheading{"Time line of the lot"});
  section.blocks.push_back(Para{timeline_key(), Para::Style::small});
  for (auto& drawing : drawings)
    section.blocks.push_back(Picture{std::move(drawing.svg), std::move(drawing.alt), 260});
  return section;
}

namespace {

Table page_table(const plan::PageTable& from) {
  Table table{from.caption, {}, {}, false};
  for (std::size_t i = 0; i < from.heads.size(); ++i)
    table.columns.push_back({from.heads[i], i < from.shares.size() ? from.shares[i] : 1.0});
  for (const auto& row : from.rows) {
    std::vector<Cell> cells;
    for (std::size_t i = 0; i < from.heads.size(); ++i) {
      const std::string text = i < row.size() ? row[i] : "";
      cells.push_back(i == 0 ? strong(text) : plain(text));
    }
    table.rows.push_back(std::move(cells));
  }
  return table;
}

Boxes page_boxes(const View& view, const std::vector<std::string>& rows) {
  Boxes boxes;
  for (int unit = 1; unit <= view.lot(); ++unit) {
    boxes.units.push_back(fmt::format("{}", unit));
    boxes.gap_before.push_back(false);
  }
  for (const auto& row : rows) boxes.rows.push_back({row, "", false});
  return boxes;
}

}  // namespace

std::vector<Section> plan_pages(const View& view) {
  std::vector<Section> out;
  for (const auto& page : view.plan().pages) {
    Section section{.id = "page-" + page.id, .title = page.title, .new_page = !page.follows};
    if (!page.step.empty() && !page.follows)
      section.blocks.push_back(Para{"For step " + view.name(page.step), Para::Style::lead});
    for (const auto& line : page.lines) section.blocks.push_back(Para{line, Para::Style::body});
    for (const auto& table : page.tables) section.blocks.push_back(page_table(table));
    if (!page.ticks.empty()) section.blocks.push_back(page_boxes(view, page.ticks));
    if (!page.picture_svg.empty())
      section.blocks.push_back(Picture{page.picture_svg, page.title, page.picture_height_mm});
    out.push_back(std::move(section));
  }
  return out;
}

Section records(const View& view) {
  Section section{.id = "records",
                  .title = "Record of each unit: stays with the unit",
                  .short_title = "Records",
                  .notes = true};
  if (view.plan().work.steps.empty()) return section;
  if (only_rework(view)) {
    section.title = "Rework of the units";
    add_rework_of_any(view, section);
    return section;
  }
  for (int unit = 1; unit <= view.lot(); ++unit) add_record(view, unit, section);
  return section;
}

Section close_out(const View& view) {
  const plan::Plan& plan = view.plan();
  Section section{.id = "close-out", .title = "Closing the lot", .short_title = "Closing"};
  if (plan.work.steps.empty()) return section;
  if (Table table = values_table(view, true, "the whole lot"); !table.rows.empty()) {
    section.blocks.push_back(Subheading{"Values of the whole lot"});
    section.blocks.push_back(std::move(table));
  }
  if (Table table = leftover_table(plan); !table.rows.empty()) {
    section.blocks.push_back(Subheading{"Left-over count: every line must come to 0"});
    section.blocks.push_back(std::move(table));
  }
  if (!plan.waivers.empty()) {
    section.blocks.push_back(Subheading{"Waived rules"});
    Table table{"Waived rules", {{"Rule", 3}, {"Steps", 3}, {"Because", 6}, {"Where", 2.5}}, {}, false};
    for (const auto& w : plan.waivers) {
      table.rows.push_back({strong(w.rule.text), plain(view.names(w.steps)), plain(sentence(w.because)),
                            plain(describe(w.place))});
    }
    section.blocks.push_back(std::move(table));
  }
  section.blocks.push_back(Subheading{"Final review"});
  for (const char* line :
       {"Every unit has every step ticked, or a line of rework that says why not",
        "Every value on every unit record is inside its limit", "Left-over count is 0 on every line above",
        "Materials put away, opened and best-before dates written on them",
        "Oven, iron and heaters off; wet rags laid flat or in a closed metal can"}) {
    section.blocks.push_back(Tick{line});
  }
  section.blocks.push_back(WriteIn{"Open notes, and what to change before the next lot", 5});
  return section;
}

Section sources(const View& view) {
  Section section{.id = "sources", .title = "Sources", .new_page = false};
  if (view.plan().sources.empty()) return section;
  for (const auto& line : view.plan().sources) section.blocks.push_back(Para{line, Para::Style::small});
  return section;
}

}  // namespace handlot::sheets
