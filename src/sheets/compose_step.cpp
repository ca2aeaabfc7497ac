#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "core/text.h"
#include "plan/find.h"
#include "plan/units.h"
#include "sheets/sections.h"
#include "sheets/text.h"

namespace handlot::sheets {

namespace {

constexpr std::size_t kBatchesListed = 6;  // more sub-batches than this are counted, not listed
constexpr int kGridUnits = 24;             // larger lots get one row of boxes, not one a check

std::string batches(const std::vector<const plan::Operation*>& ops) {
  if (ops.size() > kBatchesListed)
    return fmt::format("{} batches, the first with units {}", ops.size(), units_in_short(*ops.front()));
  std::string list;
  for (const auto* op : ops) list += (list.empty() ? "" : ", ") + units_in_short(*op);
  return "Units " + list;
}

std::vector<std::string> marks_of(const View& view, const plan::Step& step) {
  std::vector<std::string> out;
  if (step.hold) out.push_back("HOLD: checks before you go on");
  if (step.irreversible) out.push_back("NO WAY BACK: cannot be undone");
  const auto& looks = view.plan().work.looks;
  const auto repeated = std::find_if(looks.begin(), looks.end(), [&](const plan::LookFirst& l) { return l.repeat == step.id; });
  if (repeated != looks.end())
    out.push_back("FIRST PIECE: unit 1 alone, checked, looked at in step " + view.number(repeated->look) + ", then the rest");
  else if (step.timing.first_piece)
    out.push_back("FIRST PIECE: unit 1 alone, checked, then the rest");
  for (const plan::LookFirst& l : looks) {
    if (l.look == step.id) out.push_back("FIRST PIECE: unit 1 before the rest goes through step " + view.number(l.repeat));
  }
  return out;
}

std::string tool_text(const plan::StepTool& tool) {
  return tool.setting.empty() ? tool.name : tool.name + ": " + tool.setting;
}

/// The plan counts it, and somebody has to think of it.
std::string switched_on(const plan::Resource* r) {
  return r == nullptr || r->warm_up.seconds <= 0 ? "" : fmt::format(", switched on {} before", in_words(r->warm_up));
}

std::string use_text(const View& view, const plan::Use& use) {
  std::string out = use.count > 1 ? fmt::format("{} × {}", use.count, view.resource(use.resource))
                                  : view.resource(use.resource);
  const plan::Resource* resource = plan::find_resource(view.plan().work, use.resource);
  const bool places = resource != nullptr && resource->kind == plan::Resource::Kind::station && use.count == 1;
  if (use.per_unit) out += places ? ", a place for each unit" : " for each unit";
  out += switched_on(resource);
  if (use.until_start_of) out += ", kept until step " + view.number(*use.until_start_of) + " begins";
  if (use.hold_after_end.seconds > 0) out += ", kept " + in_words(use.hold_after_end) + " after the step";
  return out;
}

/// States, one line a kind: what must be so already, what is so then, what is so no longer.
void add_states(const plan::Step& step, std::vector<std::pair<std::string, std::string>>& out) {
  const auto line = [&](const char* label, const std::vector<std::string>& states) {
    std::string text;
    for (const auto& s : states) text += (text.empty() ? "" : "; ") + s;
    if (!text.empty()) out.emplace_back(label, text);
  };
  line("Needs", step.needs);
  line("Gives", step.gives);
  line("Ends", step.takes);
}

std::vector<std::string> also_of(const plan::Step& step) {
  std::vector<std::string> out;
  for (const auto& hint : step.hints) {
    out.push_back(sentence(hint.text) + (hint.source.key.empty() ? "" : " (" + describe(hint.source) + ")"));
  }
  return out;
}

std::vector<std::pair<std::string, std::string>> needs_of(const View& view, const plan::Step& step) {
  std::vector<std::pair<std::string, std::string>> out;
  for (const auto& p : step.parts) {
    out.emplace_back(p.callout.empty() ? "Part" : p.callout, fmt::format("{} × {}", p.count, p.name));
  }
  for (const auto& m : step.materials) out.emplace_back("Use", material_text(m));
  std::set<std::string> stations;
  for (const auto& u : step.timing.uses) stations.insert(view.resource(u.resource));
  for (const auto& t : step.tools) {
    if (!t.setting.empty() || !stations.contains(t.name)) out.emplace_back("Tool", tool_text(t));
  }
  std::set<std::string> said;  // a station taken for the step and again for a unit is one place to go to
  for (const auto& u : step.timing.uses) {
    const std::string text = use_text(view, u);
    const bool more = u.per_unit && u.count == 1 && !u.until_start_of && u.hold_after_end.seconds == 0;
    if (said.insert(view.resource(u.resource)).second || !more) out.emplace_back("On", text);
  }
  add_states(step, out);
  return out;
}

std::string check_text(const plan::Check& check) {
  std::string out = capital(check.what);
  if (!check.limit.empty()) out += ": " + check.limit;
  if (check.value) out += " (value goes on the unit's record)";
  return out;
}

Boxes boxes_of(const View& view, const plan::Step& step) {
  Boxes boxes;
  if (step.timing.whole_lot) {
    boxes.units = {"lot"};
    boxes.gap_before = {false};
  } else {
    std::set<int> starts;
    const auto& ops = view.operations(step.id);
    const bool singles =
        std::all_of(ops.begin(), ops.end(), [](auto* op) { return op->first_unit == op->last_unit; });
    if (!singles) {
      for (const auto* op : ops) starts.insert(op->first_unit);
    }
    for (int unit = 1; unit <= view.lot(); ++unit) {
      boxes.units.push_back(fmt::format("{}", unit));
      boxes.gap_before.push_back(unit > 1 && starts.contains(unit));
    }
  }
  if (view.lot() <= kGridUnits || step.timing.whole_lot) {
    for (const auto& check : step.checks) {
      boxes.rows.push_back({capital(check.what), check.limit, check.value});
    }
  }
  boxes.rows.push_back({"Step done", "", false});
  return boxes;
}

std::string after_of(const View& view, const plan::Step& step) {
  std::vector<std::pair<int, std::string>> earlier;
  for (const auto& c : view.plan().work.constraints) {
    if (c.redundant || c.to.step != step.id || c.from.step == step.id || c.min.seconds < 0) continue;
    const plan::Step* from = view.step(c.from.step);
    if (from && from->number < step.number) earlier.emplace_back(from->number, "");
  }
  std::sort(earlier.begin(), earlier.end());
  earlier.erase(std::unique(earlier.begin(), earlier.end()), earlier.end());
  std::vector<std::string> numbers;
  for (const auto& [number, unused] : earlier) numbers.push_back(fmt::format("{}", number));
  if (numbers.empty()) return "";
  return (numbers.size() == 1 ? "After step " : "After steps ") + listed(numbers);
}

/// One clock of the step that several later steps end is one line: one jar of paste for two boards.
std::vector<WaitLine> clocks_of(const View& view, const plan::Step& step) {
  std::vector<WaitLine> lines;
  std::vector<const plan::Wait*> clocks;
  for (const auto& w : view.plan().waits) {
    if (w.from.step != step.id) continue;
    const auto same = std::find_if(clocks.begin(), clocks.end(), [&](const plan::Wait* c) { return same_clock(*c, w); });
    if (same == clocks.end()) {
      clocks.push_back(&w);
      lines.push_back(wait_line(view, w));
    } else {
      lines[static_cast<std::size_t>(same - clocks.begin())].text += " The same for: " + sentence(w.then.empty() ? view.name(w.to.step) : w.then);
    }
  }
  return lines;
}

/// What several clocks of a step have in common is said once, at the last of them.
std::vector<WaitLine> waits_of(const View& view, const plan::Step& step) {
  std::vector<WaitLine> lines = clocks_of(view, step);
  for (std::size_t i = 0; i + 1 < lines.size(); ++i) {
    if (lines[i].meanwhile == lines[i + 1].meanwhile) lines[i].meanwhile.clear();
    if (lines[i].if_late == lines[i + 1].if_late) lines[i].if_late.clear();
  }
  return lines;
}

std::vector<std::string> gates_of(const View& view, const plan::Step& step) {
  std::vector<std::string> out;
  for (const auto& w : view.plan().waits) {
    if (w.to.step != step.id) continue;
    if (w.latest) {
      out.push_back(capital(w.what) + ": " + wait_span(view, w) + ", whenever " + view.name(w.from.step) +
                    " began");
      continue;
    }
    out.push_back(capital(w.what) + ": " + wait_span(view, w) + " since the " +
                  (w.from.edge == plan::Edge::start ? "start" : "end") + " of " + view.name(w.from.step) + once_for_the_lot(view, w));
  }
  return out;
}

std::string stop_of(const plan::Step& step) {
  if (step.safe_to_stop)
    return "Safe to stop after this step" + (step.stop_note.empty() ? "." : ": " + sentence(step.stop_note));
  return "Do not stop after this step" + (step.stop_note.empty() ? "." : ": " + sentence(step.stop_note));
}

std::string why_of(const plan::Step& step) {
  return step.why_here.empty() ? "" : "Why here: " + sentence(step.why_here);
}

bool stands_at(const plan::Caution& c, const StepId& id) {
  return std::find(c.steps.begin(), c.steps.end(), id) != c.steps.end();
}

/// Cautions of a run of steps stand before the first step of the run.
void add_section_cautions(const View& view, const plan::Step* before, const plan::Step& step,
                          Section& section) {
  for (const auto& c : view.plan().cautions) {
    if (c.at != plan::CautionAt::section || !stands_at(c, step.id)) continue;
    if (before && stands_at(c, before->id)) continue;
    CautionBox box = caution_box(view, c, true);
    box.at_steps = caution_box(view, c, false).at_steps;
    section.blocks.push_back(std::move(box));
  }
}

}  // namespace

std::string units_of(const View& view, const plan::Step& step) {
  const auto& ops = view.operations(step.id);
  if (step.timing.whole_lot || (ops.empty() && view.lot() > 1)) return "The whole lot";
  if (view.lot() == 1) return "The one unit";
  if (ops.size() == 1 && ops.front()->first_unit == 1 && ops.front()->last_unit == view.lot() && ops.front()->without.empty()) {
    return fmt::format("All {} together", view.lot());
  }
  const bool singles =
      std::all_of(ops.begin(), ops.end(), [](auto* op) { return op->first_unit == op->last_unit; });
  return singles ? fmt::format("One at a time, 1 to {}", view.lot()) : batches(ops);
}

std::string planned_of(const View& view, const plan::Step& step) {
  const auto& ops = view.operations(step.id);
  if (ops.empty()) return "";
  Instant from = ops.front()->start, to = ops.front()->end;
  for (const auto* op : ops) {
    from = std::min(from, op->start);
    to = std::max(to, op->end);
  }
  const Clock& clock = view.clock();
  const bool same_day = clock.day(from) == clock.day(to);
  return clock.moment(from) + " to " + (same_day ? clock.time(to) : clock.moment(to));
}

bool works_alone(const View& view) {
  const auto& all = view.plan().work.resources;
  return std::count_if(all.begin(), all.end(), [](const plan::Resource& r) { return r.kind == plan::Resource::Kind::person; }) < 2;
}

std::string whose_work(const View& view, const plan::Step& step) {
  if (works_alone(view)) return "";
  std::map<std::string, std::set<int>> units_by_name;
  for (const auto* op : view.operations(step.id)) {
    for (const ResourceId& person : op->people) {
      for (const int unit : plan::units_in(*op)) units_by_name[view.resource(person)].insert(unit);
    }
  }
  std::vector<std::string> out;
  std::set<std::set<int>> kinds;
  for (const auto& [name, units] : units_by_name) kinds.insert(units);
  for (const auto& [name, units] : units_by_name) out.push_back(kinds.size() > 1 ? fmt::format("{} ({} {})", name, units.size() == 1 ? "unit" : "units", plan::spans(units)) : name);
  return listed(out);
}

std::string expected_of(const plan::Step& step) {
  const plan::Timing& t = step.timing;
  std::vector<std::string> parts;
  if (t.setup.seconds > 0) parts.push_back(in_words(t.setup) + " to set up");
  if (t.run.seconds > 0)
    parts.push_back(in_words(t.run) + (t.whole_lot      ? " for the lot"
                                       : t.run_per_unit ? " a unit"
                                                        : " a batch"));
  if (t.unattended.seconds > 0) parts.push_back(in_words(t.unattended) + " by itself");
  std::string out;
  for (const auto& part : parts) out += (out.empty() ? "" : ", then ") + part;
  return out;
}

StepBox step_box(const View& view, const plan::Step& step, const SheetOptions& options) {
  StepBox box;
  box.id = step.id.text;
  box.number = fmt::format("{}", step.number);
  box.title = step.title;
  box.marks = marks_of(view, step);
  box.units = units_of(view, step);
  box.when = planned_of(view, step);
  if (const std::string who = whose_work(view, step); !who.empty()) box.when += ", by " + who;
  box.expected = expected_of(step);
  box.why = why_of(step);
  box.after = after_of(view, step);
  box.not_before = gates_of(view, step);
  for (const auto& c : view.plan().cautions) {
    if (c.at == plan::CautionAt::step && stands_at(c, step.id))
      box.cautions.push_back(caution_box(view, c, true));
  }
  box.needs = needs_of(view, step);
  box.orientation = step.orientation;
  box.actions = step.actions;
  box.also = also_of(step);
  box.reminder = step.reminder;
  box.boxes = boxes_of(view, step);
  if (box.boxes.rows.size() == 1) {
    for (const auto& check : step.checks) box.checks.push_back(check_text(check));
  }
  box.waits = waits_of(view, step);
  box.stop = stop_of(step);
  box.safe_to_stop = step.safe_to_stop;
  box.record = "Took ______ min · by ______ · fault, rework no. ______";
  box.picture_svg = step.picture_svg;
  box.code = options.base_url + "/step/" + step.id.text;
  return box;
}

Section steps(const View& view, const SheetOptions& options) {
  Section section{.id = "steps", .title = "The steps", .short_title = "Steps", .notes = true};
  const plan::Step* before = nullptr;
  for (const auto& step : view.plan().work.steps) {
    if (!step.section.empty() && (!before || before->section != step.section)) {
      section.blocks.push_back(Subheading{capital(step.section)});
    }
    add_section_cautions(view, before, step, section);
    section.blocks.push_back(step_box(view, step, options));
    before = &step;
  }
  return section;
}

}  // namespace handlot::sheets
