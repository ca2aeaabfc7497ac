#include <cmath>
#include <map>

#include <fmt/format.h>

#include "bench/difference.h"
#include "bench/html.h"
#include "bench/page.h"
#include "core/text.h"
#include "plan/units.h"
#include "record/report.h"

namespace handlot::bench {
namespace {

std::string at(const Desk& desk, Instant instant) {
  return esc(calendar::short_text(instant, desk.zone));
}

/// The plan is of people: what moves by seconds moves by a minute at most.
std::string in_minutes(std::int64_t seconds) {
  return in_words(Duration((std::max<std::int64_t>(seconds, 60) + 30) / 60 * 60));
}

std::string shift_row(const Desk& desk, const plan::Plan& anew, const Shift& shift) {
  const auto* step = record::find_step(anew, shift.step);
  if (!step) step = record::find_step(desk.g.plan, shift.step);
  const std::string name = step ? fmt::format("{} {}", step->number, step->title) : shift.step.text;
  std::vector<int> units;
  for (int n = shift.first_unit; n <= shift.last_unit; ++n) units.push_back(n);
  const bool lot = step && step->timing.whole_lot;
  std::string moved = shift.before ? "no more to do" : "new";
  if (shift.before && shift.after) {
    const auto by = (*shift.after - *shift.before).seconds;
    moved = by == 0 ? "stays" : fmt::format("{} {}", in_minutes(std::abs(by)), by > 0 ? "later" : "sooner");
  }
  return fmt::format("<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
                     esc(name), lot ? "whole lot" : esc(record::units_text(units, desk.g.state.lot)),
                     shift.before ? at(desk, *shift.before) : "-", shift.after ? at(desk, *shift.after) : "-",
                     moved);
}

/// What is not to be had now is named: without it nothing might be late.
std::string what_makes_late(const Desk& desk) {
  std::vector<std::string> gone;
  for (const auto& away : desk.g.state.away) {
    if (record::elapsed(away.from, desk.g.now, desk.g.state.gaps).least_s >= away.seconds) continue;
    const auto& all = desk.g.plan.work.resources;
    const auto r = std::find_if(all.begin(), all.end(), [&](const auto& one) { return one.id == away.resource; });
    gone.push_back(r == all.end() ? away.resource.text : r->name);
  }
  if (gone.empty()) return "What was done makes";
  return fmt::format("That {} cannot be had, or what was done, makes", listed(gone));
}

std::string proposal_box(const Desk& desk, const Proposal& proposal) {
  const auto d = difference(desk.g.plan.schedule, proposal.plan.schedule);
  std::string out = R"(<section id="difference"><h2>What would change</h2>)";
  const bool old = proposal.old(desk.g.lines);
  if (old)
    out +=
        "<p><strong>More was done since it was worked out.</strong> Work it out again before you take "
        "it.</p>";
  const auto& schedule = proposal.plan.schedule;
  const bool none = schedule.operations.empty() || schedule.status == plan::Schedule::Status::infeasible ||
                    schedule.status == plan::Schedule::Status::stopped;
  if (none || !schedule.clash.empty()) {
    out += none ? "<p><strong>The rest cannot be done as planned:</strong></p>"
                : fmt::format("<p><strong>{} this late:</strong></p>", esc(what_makes_late(desk)));
    out += "<ul class=\"against\">";
    for (const auto& reason : schedule.clash) out += fmt::format("<li>{}</li>", esc(reason.text));
    if (schedule.clash.empty())
      out += "<li>no schedule was found: the opening hours that are known may not hold it, or the search ran out of time; work it out once more, or make the "
             "plan anew from the job</li>";
    out += "</ul>";
  }
  if (none) return out + "</section>";
  const std::string after = at(desk, d.finish_after), before = at(desk, d.finish_before);
  out += fmt::format("<p>Finish: <strong>{}</strong>{}. Worked out in {:.1f} s.</p>", after,
                     after == before ? ", as before" : " instead of " + before, proposal.seconds);
  out +=
      R"(<div class="wide" tabindex="0" role="region" aria-label="Changes"><table><caption>Moved steps</caption><thead><tr><th scope="col">Step</th><th scope="col">Units</th><th scope="col">Planned</th><th scope="col">Now</th><th scope="col">Moves</th></tr></thead><tbody>)";
  std::map<int, int> gone;  // unit -> steps; in rows they would bury the rest
  for (const auto& shift : d.shifts) {
    if (shift.after) out += shift_row(desk, proposal.plan, shift);
    for (int n = shift.first_unit; !shift.after && n <= shift.last_unit; ++n) ++gone[n];
  }
  out += "</tbody></table></div>";
  for (const auto& [unit, count] : gone)
    out += fmt::format("<p>Unit {}: {} no more to do.</p>", unit, counted(count, "step is", "steps are"));
  out += fmt::format("<p>{} where they are.</p>", counted(d.unmoved, "stays", "stay"));
  if (desk.may_write && !old)
    out += form("take-plan", {{"item", proposal.plan.head.hash}, {"back", "/plan"}},
                schedule.clash.empty() ? "Take this plan" : "Take this plan, with what it makes late", "", "",
                schedule.clash.empty() ? "class=\"main\"" : "");
  return out + "</section>";
}

std::string times_box(const Desk& desk) {
  const auto all = record::step_times(desk.g.plan, desk.g.state);
  if (all.empty()) return "";
  std::string out =
      R"(<section id="times"><h2>Your own times</h2><div class="wide" tabindex="0" role="region" aria-label="Times"><table><caption>Hands, each unit</caption><thead><tr><th scope="col">Step</th><th scope="col">Planned</th><th scope="col">Yours</th><th scope="col">Use it?</th></tr></thead><tbody>)";
  for (const auto& t : all) {
    const auto* step = record::find_step(desk.g.plan, t.step);
    out += fmt::format("<tr><th scope=\"row\">{} {}</th><td>{}</td><td>{}", step->number, esc(step->title),
                       t.planned_s > 0 ? span_text(t.planned_s) : "-", span_text(t.median_s));
    if (span_text(t.low_s) != span_text(t.high_s))
      out += fmt::format(", mostly {} to {}", span_text(t.low_s), span_text(t.high_s));
    out += fmt::format(" ({})", counted(t.units, "unit", "units"));
    if (t.curve && t.curve->slope() < 0.995)
      out += fmt::format(", each doubling leaves {:.0f} %", 100 * t.curve->slope());
    out += "</td><td>";
    const auto agreed = desk.g.state.agreed_s.find(t.step);
    if (agreed != desk.g.state.agreed_s.end())
      out += fmt::format("planned with {} ", span_text(agreed->second));
    const double goes_by = agreed != desk.g.state.agreed_s.end() ? agreed->second : t.planned_s;
    if (t.suggested_s && desk.may_write && span_text(*t.suggested_s) != span_text(goes_by))
      out +=
          form("times",
               {{"step", t.step.text}, {"value", fmt::format("{:.0f}", *t.suggested_s)}, {"back", "/plan"}},
               "Plan with " + span_text(*t.suggested_s));
    out += "</td></tr>";
  }
  return out + "</tbody></table></div></section>";
}

std::string away_box(const Desk& desk) {
  std::string options;
  for (const auto& r : desk.g.plan.work.resources)
    options += fmt::format(R"(<option value="{}">{}</option>)", esc(r.id.text), esc(r.name));
  if (options.empty() || !desk.may_write) return "";
  return R"(<section id="away"><h2>Something cannot be had</h2>)" +
         form(
             "away", {{"back", "/plan"}}, "Plan without it", "line",
             fmt::format(
                 R"(<label>What <select name="item">{}</select></label><label>For how many hours <input name="hours" inputmode="decimal" required size="6" maxlength="8"></label><label>Why <input name="text" maxlength="300"></label>)",
                 options)) +
         "</section>";
}

/// A unit that came back into the lot, or work that was undone, after the plan of the rest was taken.
bool held_by_plan(const Desk& desk, const plan::Step& step, int unit) {
  const auto& ops = desk.g.plan.schedule.operations;
  return std::any_of(ops.begin(), ops.end(), [&](const auto& op) { return op.step == step.id && plan::takes(op, unit); });
}

std::string not_in_plan(const Desk& desk) {
  if (desk.g.plan.schedule.operations.empty()) return "";
  std::vector<int> units;
  for (const int n : desk.g.state.good_units()) {
    const bool left_out = std::any_of(desk.g.plan.work.steps.begin(), desk.g.plan.work.steps.end(), [&](const plan::Step& step) {
      const record::Cell* cell = record::cell_of(desk.g.state, step, n);
      const bool to_do = !cell || cell->stand == record::Stand::open || cell->stand == record::Stand::again;
      return !step.timing.whole_lot && to_do && !held_by_plan(desk, step, n);
    });
    if (left_out) units.push_back(n);
  }
  if (units.empty()) return "";
  return fmt::format(R"(<p class="bad" id="not-in-plan">The plan does not hold all that is left of {}: work the rest out anew.</p>)",
                     esc(record::units_text(units, desk.g.state.lot)));
}

struct Left {
  const plan::Step* step;
  std::vector<int> units;
  Instant start, end;
};

/// In the order of the plan. A plan of the rest has what runs already unit by unit: at one time it is one line.
std::vector<Left> what_is_left(const Desk& desk) {
  std::vector<Left> out;
  for (const auto& op : desk.g.plan.schedule.operations) {
    const auto* step = record::find_step(desk.g.plan, op.step);
    if (!step) continue;
    Left left{step, {}, op.start, op.end};
    for (const int n : plan::units_in(op))
      if (desk.g.state.in_lot(n) && !record::is_done(desk.g.state, *step, n)) left.units.push_back(n);
    if (left.units.empty()) continue;
    const auto same = std::find_if(out.begin(), out.end(), [&](const Left& l) { return l.step == step && l.start == left.start && l.end == left.end; });
    if (same == out.end())
      out.push_back(std::move(left));
    else
      same->units.insert(same->units.end(), left.units.begin(), left.units.end());
  }
  return out;
}

std::string left_box(const Desk& desk) {
  std::string rows;
  for (const Left& left : what_is_left(desk))
    rows += fmt::format(
        R"(<tr><th scope="row"><a href="/step/{}">{} {}</a></th><td>{}</td><td>{}</td><td>{}</td></tr>)",
        esc(left.step->id.text), left.step->number, esc(left.step->title),
        left.step->timing.whole_lot ? "whole lot" : esc(record::units_text(left.units, desk.g.state.lot)),
        at(desk, left.start), at(desk, left.end));
  if (rows.empty()) return "";
  return R"(<section id="left"><h2>What is left</h2><div class="wide" tabindex="0" role="region" aria-label="What is left"><table><caption>In the order of the plan</caption><thead><tr><th scope="col">Step</th><th scope="col">Units</th><th scope="col">From</th><th scope="col">To</th></tr></thead><tbody>)" +
         rows + "</tbody></table></div></section>";
}

/// The plan in hand is another than the record knows: from which unit on does it hold?
std::string effect_box(const Desk& desk) {
  const auto& plan = desk.g.plan;
  if (desk.g.state.plan == plan.head.hash || desk.g.lines.empty() || !desk.may_write) return "";
  std::string boxes;
  for (const int n : desk.g.state.good_units()) {
    const bool started = std::any_of(plan.work.steps.begin(), plan.work.steps.end(), [&](const auto& s) {
      return record::is_done(desk.g.state, s, n) && !s.timing.whole_lot;
    });
    boxes += fmt::format(
        R"(<label class="tickbox"><input type="checkbox" name="u{0}" value="1"{1}> unit {0}{2}</label>)", n,
        started ? "" : " checked", started ? ", begun" : "");
  }
  return fmt::format(
             R"(<section class="box ask" id="effect"><h2>The plan has changed</h2><p>This is revision {}, plan {}; the record goes by plan {}. For which units does the new one hold?</p>)",
             esc(plan.head.revision), esc(plan.head.hash),
             esc(desk.g.state.plan.empty() ? "none" : desk.g.state.plan)) +
         form("plan-holds", {{"item", plan.head.hash}, {"back", "/plan"}}, "It holds for these", "line",
              boxes) +
         "</section>";
}

}  // namespace

std::string plan_page(const Desk& desk, const std::shared_ptr<const Proposal>& proposal,
                      const Diagnostics& fault, bool can_replan) {
  const auto& schedule = desk.g.plan.schedule;
  std::string out = effect_box(desk);
  out += fmt::format("<section id=\"finish\"><p>Planned to finish {}.</p>", at(desk, schedule.finish));
  for (const auto& d : fault) out += fmt::format(R"(<p class="bad">{}. {}.</p>)", esc(d.text), esc(d.mend));
  if (can_replan && desk.may_write)
    out += form("replan", {{"back", "/plan"}}, "Work the rest out anew", "", "", "class=\"main\"");
  else if (!can_replan)
    out += "<p>This bench cannot work the plan out anew.</p>";
  out += not_in_plan(desk) + "</section>";
  if (proposal) out += proposal_box(desk, *proposal);
  return page(desk, "Plan", out + times_box(desk) + away_box(desk) + left_box(desk));
}

}  // namespace handlot::bench
