#include <cmath>

#include <fmt/format.h>

#include "bench/html.h"
#include "bench/page.h"
#include "core/text.h"
#include "plan/find.h"
#include "plan/opens.h"
#include "record/follow.h"
#include "record/places.h"
#include "record/warm.h"
#include "sheets/signs.h"
#include "sheets/text.h"

namespace handlot::bench {

namespace {

using record::Phase;
using record::Stand;
using record::Task;
using record::Timer;

std::string units_csv(const std::vector<int>& units) {
  return fmt::format("{}", fmt::join(units, ","));
}

const char* shape(Phase phase) {
  switch (phase) {
    case Phase::late:
      return "\u25B2";
    case Phase::ready:
      return "\u25A0";
    case Phase::doubtful:
      return "?";
    case Phase::running:
      return "\u25D4";
  }
  return "";
}

const char* css(Phase phase) {
  switch (phase) {
    case Phase::late:
      return "late";
    case Phase::ready:
      return "ready";
    case Phase::doubtful:
      return "doubt";
    case Phase::running:
      return "running";
  }
  return "";
}

/// What is left, so that a screen without connection can go on by itself: `what` is said once it is over.
std::string counting(double seconds, const char* what, const std::string& rest) {
  return fmt::format(R"(<strong data-until="{:.0f}" data-ended="{}">{}</strong><span>{}</span>)", seconds, what,
                     span_text(seconds), rest);
}

std::string clock_words(const Desk& desk, const Timer& t) {
  const std::string latest = t.until_late_s ? ", not after " + wall_in(desk, *t.until_late_s) : "";
  if (t.phase == Phase::late)
    return fmt::format("<strong>{} too late</strong>{}", span_text(-*t.until_late_s),
                       t.late_for_sure ? "" : ", if the clock is right");
  if (t.begun_by_some)
    return counting(*t.until_late_s, "too late", fmt::format(" left{}, and not before {} after the last unit, which is still to come", latest,
                                                             in_words(Duration(std::llround(t.min_s)))));
  if (t.phase == Phase::ready && t.until_late_s)
    return counting(*t.until_late_s, "too late", " left" + latest);
  if (t.phase == Phase::ready)
    return fmt::format("<strong>over</strong> since {}", span_text(-t.until_ready_s));
  if (t.phase == Phase::doubtful)
    return "over by the clock only: answer the question at the top. Seen to go by: " +
           span_text(t.gone_least_s) + " of " + span_text(t.min_s);
  return counting(t.until_ready_s, "over", " to go, not before " + wall_in(desk, t.until_ready_s) + latest);
}

std::string timer_item(const Desk& desk, const Timer& t) {
  std::string out =
      fmt::format(R"(<li class="timer {}" data-sounds="{}" data-timer="{}"><h3>{} {}</h3>)", css(t.phase),
                  t.sounds ? 1 : 0, esc(t.id),
                  mark(css(t.phase), shape(t.phase),
                       record::word(t.phase) == "running" ? "running" : std::string(record::word(t.phase))),
                  esc(t.what));
  out += fmt::format(R"(<p class="clock">{}</p><p>{}</p>)", clock_words(desk, t),
                     esc(record::units_text(t.units, desk.g.state.lot)));
  if (!t.then.empty())
    out += fmt::format("<p>Then: {}</p>",
                       t.to.empty() ? esc(t.then)
                                    : fmt::format(R"(<a class="there" href="/step/{}">{}</a>)",
                                                  esc(t.to.text), esc(t.then)));
  if (!t.if_late.empty()) out += fmt::format("<p>If late: {}</p>", esc(t.if_late));
  if (t.sounds && desk.may_write) {
    const std::string item = t.id + (t.phase == Phase::late ? "!" : "");
    out += R"(<div class="row">)" +
           form("heard", {{"item", item}, {"back", desk.here}}, "Stop the alarm", "", "", "data-alarm");
    out +=
        form("heard", {{"item", item}, {"value", "300"}, {"back", desk.here}}, "Again in 5 min") + "</div>";
  }
  return out + "</li>";
}

std::string cautions(const Desk& desk, const plan::Step& step) {
  std::string out;
  for (const auto& c : desk.g.plan.cautions) {
    if (std::find(c.steps.begin(), c.steps.end(), step.id) == c.steps.end()) continue;
    const auto word = plan::word(c.level);
    out += fmt::format(
        R"(<div class="caution c-{}"><p><span class="signal"><span aria-hidden="true">{}</span> {}</span> {}</p>)",
        c.level == plan::CautionClass::notice ? "notice" : "hurt",
        c.level == plan::CautionClass::notice ? "\u25CF" : "\u26A0", word, esc(c.hazard));
    out += fmt::format("<p>{} <strong>{}</strong></p>", esc(c.consequence), esc(c.avoid));
    if (!c.protect.empty()) out += fmt::format("<p>Wear: {}</p>", esc(listed(c.protect)));
    std::vector<std::string> codes = c.ghs;
    codes.insert(codes.end(), c.signs.begin(), c.signs.end());
    if (!codes.empty()) out += "<ul class=\"signs\">";
    for (const auto& code : codes)
      out += fmt::format(R"(<li><img src="/sign/{0}.svg" alt="{1}"><span class="fine">{0}</span></li>)",
                         esc(code), esc(sheets::sign_meaning(code)));
    if (!codes.empty()) out += "</ul>";
    out += "</div>";
  }
  return out;
}

/// What is counted, and how long each is held; the station stands among the tools.
std::string fixtures(const plan::Plan& plan, const plan::Step& step) {
  std::string out;
  for (const plan::Use& use : step.timing.uses) {
    const plan::Resource* r = plan::find_resource(plan.work, use.resource);
    if (r == nullptr || r->kind != plan::Resource::Kind::fixture) continue;
    out += fmt::format("<li>{}{}{}", use.count > 1 ? fmt::format("{} \u00D7 ", use.count) : "", esc(r->name), use.per_unit ? " for each unit" : "");
    const auto* until = use.until_start_of ? record::find_step(plan, *use.until_start_of) : nullptr;
    if (until) out += fmt::format(", kept until step {} ({}) begins", until->number, esc(until->title));
    if (use.hold_after_end.seconds > 0) out += fmt::format(", kept {} after the step", in_words(use.hold_after_end));
    out += "</li>";
  }
  return out;
}

std::string needs(const plan::Plan& plan, const plan::Step& step) {
  std::string out;
  const auto row = [&](const char* head, const std::string& items) {
    if (!items.empty()) out += fmt::format("<dt>{}</dt><dd><ul>{}</ul></dd>", head, items);
  };
  std::string items;
  for (const auto& p : step.parts)
    items += fmt::format("<li>{}{} \u00D7 {}</li>",
                         p.callout.empty() ? "" : fmt::format("<b class=\"callout\">{}</b> ", esc(p.callout)),
                         p.count, esc(p.name));
  row("Parts, each unit", items);
  items.clear();
  for (const auto& t : step.tools)
    items += fmt::format("<li>{}{}{}</li>", esc(t.name), t.setting.empty() ? "" : ": ", esc(t.setting));
  row("Tools", items);
  items.clear();
  for (const auto& m : step.materials) items += fmt::format("<li>{}</li>", esc(sheets::material_text(m)));
  row("Material", items);
  row("Held in", fixtures(plan, step));
  return out.empty() ? "" : "<dl class=\"needs\">" + out + "</dl>";
}

std::string actions(const plan::Step& step) {
  std::string out;
  if (!step.orientation.empty())
    out += fmt::format(R"(<p class="turn"><span aria-hidden="true">&#8634;</span> Lies like this: {}</p>)",
                       esc(step.orientation));
  if (!step.actions.empty()) {
    out += "<ol class=\"actions\">";
    for (const auto& a : step.actions) out += fmt::format("<li>{}</li>", esc(a));
    out += "</ol>";
  }
  for (const auto& hint : step.hints) out += fmt::format("<p class=\"also\">{}.</p>", esc(hint.text));
  if (!step.reminder.empty())
    out += fmt::format(R"(<p class="remind">Do not forget: <strong>{}</strong></p>)", esc(step.reminder));
  return out;
}

/// A check of one unit: what is written already, or the box to write it.
std::string check_row(const Desk& desk, const plan::Step& step, const plan::Check& check, int unit) {
  const auto* cell = record::cell_of(desk.g.state, step, unit);
  const auto entry =
      cell ? cell->checks.find(check.id) : std::map<std::string, record::Entry>::const_iterator{};
  const bool there = cell && entry != cell->checks.end();
  const std::string who = unit == 0 ? "" : fmt::format("unit {}: ", unit);
  std::string out = fmt::format(
      R"(<li class="check" data-check="{}:{}:{}"><p>{}{}{}</p>)", esc(step.id.text), unit, esc(check.id),
      esc(who), esc(check.what),
      check.limit.empty() ? "" : fmt::format(" <span class=\"limit\">({})</span>", esc(check.limit)));
  if (there) {
    const auto& e = entry->second;
    const std::string value = e.value ? number(*e.value, 6) + " " + check.unit : "seen";
    out += record::before_the_run(step, *cell, check, e) ? fmt::format("<span class=\"fine\">{}, from before the run: measure again</span>", esc(value))
           : e.within                                    ? mark("good", "\u2713", value)
                                                         : mark("late", "\u25B2", value + ", outside the limits");
  }
  if (desk.may_write && (!there || check.value)) {
    const Fields fields = {
        {"step", step.id.text}, {"unit", std::to_string(unit)}, {"item", check.id}, {"back", desk.here}};
    if (!check.value)
      out += form("tick", fields,
                  fmt::format("<span class=\"visually-hidden\">{}</span>Seen", esc(who + check.what + ": ")));
    else
      out += form(
          "value", fields, there ? "Measured again" : "Write", "value",
          fmt::format(
              R"(<label><span class="visually-hidden">{}{}, </span>{} <input name="value" inputmode="decimal" autocomplete="off" required maxlength="24" size="7"></label>)",
              esc(who), esc(check.what), esc(check.unit.empty() ? "value" : check.unit)));
  }
  return out + "</li>";
}

/// One touch for a tick that several units still lack. Holds are looked at one by one.
std::string seen_on_all(const Desk& desk, const plan::Step& step, const plan::Check& check,
                        const std::vector<int>& units) {
  if (check.value || step.hold || !desk.may_write) return "";
  std::vector<int> open;
  for (const int n : units) {
    const auto* cell = record::cell_of(desk.g.state, step, n);
    if (!cell || !cell->checks.count(check.id)) open.push_back(n);
  }
  if (open.size() < 2) return "";
  const std::string who = record::units_text(open, desk.g.state.lot);
  return fmt::format(R"(<li class="check every" data-check="{}:all:{}"><p>{}: {}</p>)", esc(step.id.text),
                     esc(check.id), esc(who), esc(check.what)) +
         form("tick",
              {{"step", step.id.text}, {"units", units_csv(open)}, {"item", check.id}, {"back", desk.here}},
              "Seen on each of them") +
         "</li>";
}

bool finishable(const Desk& desk, const plan::Step& step, int unit) {
  return record::obstacles(desk.g.plan, desk.g.state, step, unit, plan::Edge::end, desk.g.now).empty();
}

std::string done_buttons(const Desk& desk, const plan::Step& step, const Task& task, bool runs) {
  const auto* cell = record::cell_of(desk.g.state, step, task.units.front());
  const bool away = cell && cell->stand == Stand::running;
  std::string out;
  if (runs && !away) {
    out += form("leave", {{"step", step.id.text}, {"units", units_csv(task.units)}, {"back", desk.here}},
                fmt::format("Hands are free: it runs {}", in_words(step.timing.unattended)), "", "",
                "class=\"main\" data-primary");
    return out;
  }
  std::vector<int> ready;
  for (const int n : task.units)
    if (finishable(desk, step, n)) ready.push_back(n);
  const bool all = ready.size() == task.units.size();
  if (all || task.units.size() == 1)
    out += form("done", {{"step", step.id.text}, {"units", units_csv(task.units)}, {"back", desk.here}},
                "Done: " + record::units_text(task.units, desk.g.state.lot), "", "",
                all ? "class=\"main\" data-primary" : "class=\"main notyet\"");
  if (task.units.size() > 1)
    for (const int n : task.units)
      out +=
          form("done", {{"step", step.id.text}, {"unit", std::to_string(n)}, {"back", desk.here}},
               fmt::format("Done: unit {}", n), "", "", finishable(desk, step, n) ? "" : "class=\"notyet\"");
  return out;
}

/// From now until the shop opens on another day; nothing where that is not known.
std::optional<double> next_day_s(const Desk& desk) {
  constexpr std::int64_t kNight = 8 * 3600;
  const std::int64_t now = desk.g.now.wall_ms / 1000;
  for (const plan::Interval& open : desk.g.plan.work.hours)
    if (open.open.seconds > now + kNight) return static_cast<double>(open.open.seconds - now);
  return std::nullopt;
}

/// Others have it yet, or it is not dry: the hands are free for the rest.
std::string not_yet(const Desk& desk, const plan::Step& step, const Task& task) {
  const auto all = record::timers(desk.g.plan, desk.g.state, desk.g.now);
  const auto run = std::find_if(all.begin(), all.end(), [&](const Timer& t) {
    return record::is_of_run(t) && t.from == step.id && t.phase == Phase::ready && std::find(t.units.begin(), t.units.end(), task.units.front()) != t.units.end();
  });
  if (run == all.end()) return "";
  const auto later = [&](double seconds, const std::string& when) {
    return form("heard", {{"item", run->id}, {"value", fmt::format("{:.0f}", seconds)}, {"back", desk.here}}, "Not yet: ask again " + when);
  };
  if (step.timing.unattended < hours(1)) return later(300, "in 5 min");
  const auto day = next_day_s(desk);
  return later(3600, "in 1 h") + (day ? later(*day, esc(record::clock_in(desk.g.plan, desk.g.now, *day))) : "");
}

std::string buttons(const Desk& desk, const plan::Step& step, const Task& task) {
  const bool done = std::all_of(task.units.begin(), task.units.end(), [&](int n) { return record::is_done(desk.g.state, step, n); });
  if (!desk.may_write || done) return "";
  std::string out = R"(<div class="row big">)";
  if (task.in_hand) {
    out += done_buttons(desk, step, task, step.timing.unattended.seconds > 0) + not_yet(desk, step, task);
  } else if (task.ready) {
    out += form("start", {{"step", step.id.text}, {"units", units_csv(task.units)}, {"back", desk.here}},
                "Begin: " + record::units_text(task.units, desk.g.state.lot), "", "",
                "class=\"main\" data-primary");
    if (task.units.size() > 1)
      out += form("start",
                  {{"step", step.id.text}, {"unit", std::to_string(task.units.front())}, {"back", desk.here}},
                  fmt::format("Begin: unit {} alone", task.units.front()));
  } else {
    out += form("start", {{"step", step.id.text}, {"units", units_csv(task.units)}, {"back", desk.here}},
                "Begin all the same: " + record::units_text(task.units, desk.g.state.lot), "", "",
                "class=\"notyet\"");
  }
  return out + "</div>";
}

/// Done again is only what was begun before.
bool is_begun(const Desk& desk, const plan::Step& step, const Task& task) {
  return std::any_of(task.units.begin(), task.units.end(), [&](int n) {
    const auto* cell = record::cell_of(desk.g.state, step, n);
    return cell && (cell->stand != Stand::open || cell->passes > 0);
  });
}

/// Things that go wrong, folded away.
std::string trouble_forms(const Desk& desk, const plan::Step& step, const Task& task) {
  if (!desk.may_write) return "";
  const std::string unit_box =
      task.units.size() == 1
          ? fmt::format(R"(<input type="hidden" name="unit" value="{}">)", task.units.front())
          : [&] {
              std::string s = R"(<label>Unit <select name="unit">)";
              for (const int n : task.units) s += fmt::format("<option>{}</option>", n);
              return s + "</select></label>";
            }();
  const auto text_box = [&](const char* what) {
    return unit_box +
           fmt::format(R"(<label>{} <input name="text" required maxlength="600" autocomplete="off"></label>)",
                       what);
  };
  std::string out = fmt::format(R"(<details id="more-{}"><summary>Note, photo, rework, scrap</summary>)",
                                esc(step.id.text));
  out +=
      form("note", {{"step", step.id.text}, {"back", desk.here}}, "Keep the note", "line", text_box("Note"));
  out += fmt::format(
      R"(<form method="post" action="/photo" enctype="multipart/form-data" class="line photo"><input type="hidden" name="id" value="{}"><input type="hidden" name="step" value="{}"><input type="hidden" name="back" value="{}">{}<label>Photo <input type="file" name="photo" accept="image/jpeg,image/png,image/webp" required></label><button>Keep the photo</button></form>)",
      form_id(), esc(step.id.text), esc(desk.here), unit_box);
  if (is_begun(desk, step, task))
    out += form("rework", {{"step", step.id.text}, {"back", desk.here}}, "To be done again", "line",
                text_box("Fault, and where"));
  if (task.units.front() != 0)
    out += form("scrap", {{"step", step.id.text}, {"back", desk.here}}, "Scrap the unit", "line",
                text_box("Why it is lost"), "class=\"danger\"");
  return out + "</details>";
}

/// "The shop shuts", "Helper leaves".
std::string shuts_words(const record::Follow& follow, const plan::Step& step) {
  const std::string what = follow.what_shuts(step);
  return what == "the shop shuts" ? "The shop shuts" : esc(what);
}

std::string facts(const Desk& desk, const plan::Step& step, const Task& task) {
  std::string out = R"(<p class="facts">)";
  out += esc(record::units_text(task.units, desk.g.state.lot));
  const auto n =
      step.timing.run_per_unit && !step.timing.whole_lot ? static_cast<std::int64_t>(task.units.size()) : 1;
  const Duration hands = step.timing.setup + step.timing.run * n;
  if (hands.seconds > 0) out += fmt::format(" \u00B7 about {}", in_words(hands));
  if (step.irreversible) out += " \u00B7 " + mark("once", "\u25C6", "cannot be undone");
  if (step.hold) out += " \u00B7 " + mark("hold", "\u25CF", "hold");
  out += "</p>";
  const record::Follow follow(desk.g.plan, desk.g.state, desk.g.now);
  const auto shuts = task.in_hand ? std::nullopt : follow.shuts_before(step, task.units.size());
  if (shuts) out += fmt::format(R"(<p class="shuts"><strong>{} in {}</strong>, at {}.</p>)", shuts_words(follow, step), span_text(*shuts), wall_in(desk, *shuts));
  if (!step.safe_to_stop)
    out += fmt::format(R"(<p class="fine">Do not stop after this step{}{}</p>)",
                       step.stop_note.empty() ? "" : ": ", esc(step.stop_note));
  if (!step.why_here.empty()) out += fmt::format(R"(<p class="fine">Why here: {}</p>)", esc(step.why_here));
  return out;
}

/// "not before 14:32: 8 min of 10 min to go after ..."
std::string against(const Desk& desk, const record::Obstacle& o) {
  const bool clock = o.kind == record::Obstacle::Kind::wait && o.wait_s > 0;
  return (clock ? fmt::format("<strong>not before {}</strong>: ", wall_in(desk, o.wait_s)) : "") + esc(o.text);
}

std::string obstacle_list(const Desk& desk, const Task& task) {
  if (task.ready || task.obstacles.empty()) return "";
  std::string out = R"(<ul class="against">)";
  for (const auto& o : task.obstacles) out += fmt::format("<li>{}</li>", against(desk, o));
  return out + "</ul>";
}

/// When it can begin, and not while the shop is shut.
std::string begins_words(const Desk& desk, double ready_in_s) {
  const Instant ready(desk.g.now.wall_ms / 1000 + std::llround(ready_in_s)), open = plan::open_from(desk.g.plan.work.hours, ready);
  const double in_s = ready_in_s + static_cast<double>((open - ready).seconds);
  return fmt::format("in {}, at {}{}", span_text(in_s), wall_in(desk, in_s), open > ready ? ", when the shop opens" : "");
}

/// Nobody waits at the bench for what is nothing yet.
std::string nothing_words(const Desk& desk, const record::View& view) {
  const Instant now(desk.g.now.wall_ms / 1000), open = plan::open_from(desk.g.plan.work.hours, now);
  std::string out = view.waiting.empty() ? "" : "<p>What is curing or running stands below. The page tells you when it ends.</p>";
  if (open > now) out += fmt::format("<p>By its hours the shop is shut until {}.</p>", wall_in(desk, static_cast<double>((open - now).seconds)));
  return out;
}

/// Nothing else on the page says that somebody is away by hours of their own.
std::string for_whom(const Task& task) {
  std::string out;
  for (const auto& o : task.obstacles)
    if (o.kind == record::Obstacle::Kind::person) out += fmt::format(R"(<br><span class="fine">{}</span>)", esc(o.text));
  return out;
}

std::string next_list(const Desk& desk, const record::View& view) {
  if (view.next.empty()) return "";
  std::string out = R"(<section id="next"><h2>Next</h2><ul class="plain">)";
  for (const Task& task : view.next) {
    const auto* step = record::find_step(desk.g.plan, task.step);
    out += fmt::format("<li class=\"next\"><a href=\"/step/{}\">{} {}</a> <span>\u00B7 {}</span>", esc(step->id.text),
                       step->number, esc(step->title), esc(record::units_text(task.units, desk.g.state.lot)));
    if (!task.better_later.empty())
      out += fmt::format(R"(<br><span class="fine">{}: {}</span>)", task.in_vain ? "in vain" : "better later", esc(task.better_later));
    else if (task.in_hand && !task.ready)
      out += " " + mark("running", "\u25D4", "half done") + for_whom(task);
    else if (task.in_hand)
      out += " " + mark("running", "\u25D4", "in hand");
    else if (task.ready)
      out += " " + mark("ready", "\u25A0", "can begin");
    else if (task.ready_in_s)
      out += " " + mark("running", "\u25D4", begins_words(desk, *task.ready_in_s)) + for_whom(task);
    else if (!task.obstacles.empty())
      out += fmt::format(R"(<br><span class="fine">{}</span>)", esc(task.obstacles.front().text));
    out += "</li>";
  }
  return out + "</ul></section>";
}

/// The lines that say so are struck through when it is back.
std::string missing_box(const Desk& desk) {
  std::string out;
  for (const auto& gone : record::missing(desk.g.plan, desk.g.state, desk.g.now)) {
    const auto& lines = desk.g.lines;
    const auto line = std::find_if(lines.rbegin(), lines.rend(), [&](const record::Event& e) {
      return e.kind == record::Kind::away && e.item == gone.resource->id.text && !desk.g.state.struck.count(e.id);
    });
    const bool person = gone.resource->kind == plan::Resource::Kind::person;
    const std::string why = line == lines.rend() || line->text.empty() ? "" : ": " + line->text;
    out += fmt::format("<li>{} is {} until {}{}", esc(gone.resource->name), person ? "away" : "not to be had", esc(record::clock_in(desk.g.plan, desk.g.now, gone.wait_s)), esc(why));
    if (desk.may_write && line != lines.rend()) out += form("correct", {{"target", line->id}, {"text", person ? "back" : "it can be had again"}, {"back", desk.here}}, person ? esc(gone.resource->name) + " is back" : "It is back");
    out += "</li>";
  }
  return out.empty() ? "" : R"(<section class="box" id="missing"><ul class="plain">)" + out + "</ul></section>";
}

/// Done again is what began the clock: its page has the form.
std::string lost_box(const Desk& desk, const record::View& view) {
  std::string out;
  for (const record::Lost& lost : view.lost) {
    const auto* from = record::find_step(desk.g.plan, lost.from);
    if (!from) continue;
    out += fmt::format(R"(<li><strong>{}</strong>: {}. Do so soon, and write it down as <a href="/step/{}">step {} to be done again</a>.</li>)", esc(record::units_text(lost.units, desk.g.state.lot)),
                       esc(lost.why), esc(from->id.text), from->number);
  }
  return out.empty() ? "" : R"(<section class="box" id="lost"><h2>Cannot be kept</h2><ul class="plain">)" + out + "</ul></section>";
}

/// The board that was in the oven when the fuse blew. Its step is ticked on its own page, where it is good all the same.
std::string cut_box(const Desk& desk, const record::View& view) {
  std::string out;
  for (const record::CutRun& cut : view.cut) {
    const auto* step = record::find_step(desk.g.plan, cut.step);
    const std::string what = fmt::format("{} was not to be had before the run was over", cut.resource->name);
    out += fmt::format(R"(<li><strong>{}</strong>, <a href="/step/{}">step {} ({})</a>: {}. Look, then do it again or scrap the unit.)", esc(record::units_text(cut.units, desk.g.state.lot)), esc(step->id.text),
                       step->number, esc(step->title), esc(what));
    if (desk.may_write)
      out += form("rework", {{"step", step->id.text}, {"units", units_csv(cut.units)}, {"text", what}, {"back", desk.here}}, fmt::format("Step {} to be done again", step->number));
    out += "</li>";
  }
  return out.empty() ? "" : R"(<section class="box" id="cut"><h2>Run cut short</h2><ul class="plain">)" + out + "</ul></section>";
}

/// One touch opens the step before again; nothing is put on what has dried.
std::string dried_box(const Desk& desk, const record::View& view) {
  std::string out;
  for (const record::Lost& dried : view.dried) {
    const auto* from = record::find_step(desk.g.plan, dried.from);
    if (!from) continue;
    const std::string why = dried.why.empty() ? "too late for what comes after it" : dried.why;
    out += fmt::format(R"(<li><strong>{}</strong>, <a href="/step/{}">step {} ({})</a>: {}.)", esc(record::units_text(dried.units, desk.g.state.lot)), esc(from->id.text), from->number,
                       esc(from->title), esc(why));
    if (desk.may_write)
      out += form("rework", {{"step", from->id.text}, {"units", units_csv(dried.units)}, {"text", "too late: " + why}, {"back", desk.here}}, fmt::format("To be done again: step {} ({})", from->number, esc(from->title)));
    out += "</li>";
  }
  return out.empty() ? "" : R"(<section class="box" id="dried"><h2>Too late: do again</h2><ul class="plain">)" + out + "</ul></section>";
}

std::string warm_box(const Desk& desk, const record::View& view) {
  std::string out;
  for (const auto& warm : record::to_warm(desk.g.plan, desk.g.state, desk.g.now, view.now ? &*view.now : nullptr))
    out += fmt::format("<li><strong>{}: on {}.</strong> It warms up for {}; step {} ({}), {}, comes {}.</li>", esc(warm.station->name),
                       warm.on_in_s <= 0 ? "now" : "at " + esc(record::clock_in(desk.g.plan, desk.g.now, warm.on_in_s)), in_words(warm.station->warm_up), warm.step->number,
                       esc(warm.step->title), esc(record::units_text(warm.units, desk.g.state.lot)),
                       warm.begin_in_s <= 0 ? "next" : "about " + esc(record::clock_in(desk.g.plan, desk.g.now, warm.begin_in_s)));
  return out.empty() ? "" : R"(<section class="box" id="warm"><h2>Switch on</h2><ul class="plain">)" + out + "</ul></section>";
}

/// It is over, and what follows it waits for something else: not worth the top of the page.
bool waits_on(const Desk& desk, const Timer& t) {
  const auto* to = t.phase == Phase::ready ? record::find_step(desk.g.plan, t.to) : nullptr;
  if (!to || t.until_late_s) return false;
  const auto units = to->timing.whole_lot ? std::vector<int>{0} : t.units.front() == 0 ? desk.g.state.good_units() : t.units;
  return std::none_of(units.begin(), units.end(), [&](int n) {
    return record::obstacles(desk.g.plan, desk.g.state, *to, n, plan::Edge::start, desk.g.now).empty();
  });
}

/// Folded away: the alarm rings all the same until somebody stops it.
std::string folded(const Desk& desk, const std::vector<Timer>& timers) {
  if (timers.empty()) return "";
  std::string out = fmt::format(R"(<section id="over"><details id="over-list"><summary>{} over; what follows cannot begin yet</summary><ul class="plain timers">)",
                                counted(static_cast<long>(timers.size()), "wait is", "waits are"));
  for (const Timer& t : timers) out += timer_item(desk, t);
  return out + "</ul></details></section>";
}

std::string again_words(const Desk& desk, const plan::Step& step, const Task& task) {
  std::string out;
  for (const int n : task.units) {
    const auto* cell = record::cell_of(desk.g.state, step, n);
    if (cell && !cell->again_because.empty())
      out += fmt::format("<li>{}: again, because {}</li>", esc(record::units_text({n})),
                         esc(cell->again_because));
  }
  return out.empty() ? "" : "<ul class=\"against\">" + out + "</ul>";
}

}  // namespace

std::string timer_list(const Desk& desk, const std::vector<Timer>& timers, const std::string& heading,
                       const std::string& id) {
  if (timers.empty()) return "";
  std::string out = fmt::format(R"(<section id="{}"><h2>{}</h2><ul class="plain timers">)", id, esc(heading));
  for (const Timer& t : timers) out += timer_item(desk, t);
  out += "</ul>";
  const bool more = std::any_of(timers.begin(), timers.end(), [](const Timer& t) {
    return t.until_ready_s > 0 || t.until_late_s.value_or(0) > 0;
  });
  if (more)
    out +=
        R"(<p><a class="button" href="/waits.ics">Alarms for the telephone's calendar</a></p><p class="fine">They ring while this page sleeps. Take them again when more is waiting.</p>)";
  return out + "</section>";
}

std::string task_card(const Desk& desk, const Task& task, const std::string& heading) {
  const auto* step = record::find_step(desk.g.plan, task.step);
  std::string out = fmt::format(
      R"(<section class="step" id="step" data-step="{}"><p class="kicker">{}</p><h2><span class="no">{}</span> {}</h2>)",
      esc(step->id.text), esc(heading), step->number, esc(step->title));
  out +=
      facts(desk, *step, task) + again_words(desk, *step, task) + obstacle_list(desk, task) + cautions(desk, *step);
  out += R"(<div class="bench">)";
  if (!step->picture_svg.empty())
    out += fmt::format(R"(<p class="picture"><img src="/picture/{}.svg" alt="Picture of step {}: {}"></p>)",
                       esc(step->id.text), step->number, esc(step->title));
  out += "<div>" + needs(desk.g.plan, *step) + actions(*step) + "</div></div>";
  if (!step->checks.empty()) {
    out += R"(<h3>Check</h3><ul class="plain checks">)";
    for (const auto& check : step->checks) out += seen_on_all(desk, *step, check, task.units);
    for (const int n : task.units)
      for (const auto& check : step->checks) out += check_row(desk, *step, check, n);
    out += "</ul>";
  }
  return out + buttons(desk, *step, task) + trouble_forms(desk, *step, task) + "</section>";
}

std::string now_page(const Desk& desk) {
  const auto view = record::look(desk.g.plan, desk.g.state, desk.g.now);
  std::vector<Timer> ended, running, over;
  for (const Timer& t : view.waiting) {
    const bool up = t.phase == Phase::late || t.sounds || t.phase == Phase::doubtful;
    (!up ? running : waits_on(desk, t) ? over : ended).push_back(t);
  }
  std::string out = missing_box(desk) + cut_box(desk, view) + lost_box(desk, view) + dried_box(desk, view) + timer_list(desk, ended, "Ended", "ended") + warm_box(desk, view);
  if (view.now)
    out += task_card(desk, *view.now, view.now->in_hand ? "In hand" : view.now->ready ? "Now" : "Late");
  else if (desk.g.state.good_units().empty())
    out += R"(<section class="step" id="step"><h2>Every unit is scrapped</h2><p>Nothing is left to build. The page <a href="/lot">Lot</a> says why each was lost.</p></section>)";
  else if (view.finished)
    out +=
        R"(<section class="step" id="step"><h2>Every step of every unit is done</h2><p>Print the record of each unit from the page <a href="/lot">Lot</a>.</p></section>)";
  else
    out +=
        fmt::format(
        R"(<section class="step" id="step"><h2>Nothing for the hands now</h2>{}{}{}</section>)",
        nothing_words(desk, view), view.dried.empty() ? "" : "<p>What is too late stands above: have it done again.</p>",
        view.kept_free.empty() ? "" : "<p><strong>Hands are kept free:</strong> " + esc(view.kept_free) + ".</p>");
  out += next_list(desk, view) + folded(desk, over) + timer_list(desk, running, "Waiting", "waiting");
  out += fmt::format(
      R"(<section id="progress"><p><label for="bar">{} of {} done</label> <progress id="bar" max="{}" value="{}"></progress></p>)",
      view.done, view.all, std::max(1, view.all), view.done);
  if (desk.may_write)
    out += desk.g.state.paused ? form("resume", {{"back", "/"}}, "I am back")
                               : form("pause", {{"back", "/"}}, "I leave the bench");
  return page(desk, "Now", resume_box(desk) + out + "</section>");
}

std::string step_page(const Desk& desk, const plan::Step& step) {
  Task task;
  task.step = step.id;
  bool any_started = false;
  const auto units = step.timing.whole_lot ? std::vector<int>{0} : desk.g.state.good_units();
  for (const int n : units) {
    const auto* cell = record::cell_of(desk.g.state, step, n);
    any_started = any_started || (cell && (cell->stand == Stand::started || cell->stand == Stand::running));
  }
  for (const int n : units) {
    const auto* cell = record::cell_of(desk.g.state, step, n);
    const Stand stand = cell ? cell->stand : Stand::open;
    if (any_started ? stand == Stand::started || stand == Stand::running : stand != Stand::done)
      task.units.push_back(n);
  }
  const bool all_done = task.units.empty();
  if (all_done) task.units = units;
  task.in_hand = any_started;
  if (!any_started && !all_done) {
    std::vector<int> ready;
    for (const int n : task.units) {
      const auto against =
          record::obstacles(desk.g.plan, desk.g.state, step, n, plan::Edge::start, desk.g.now);
      if (against.empty())
        ready.push_back(n);
      else if (task.obstacles.empty())
        task.obstacles = against;
    }
    task.ready = !ready.empty();
    if (task.ready) task.units = ready;
    task.units.resize(std::min(task.units.size(), record::room(desk.g.plan, desk.g.state, step, desk.g.now)));
  }
  return page(desk, fmt::format("Step {}", step.number),
              task_card(desk, task,
                        all_done      ? "Done for every unit"
                        : any_started ? "In hand"
                                      : "To do"));
}

std::string waits_page(const Desk& desk) {
  const auto all = record::timers(desk.g.plan, desk.g.state, desk.g.now);
  if (all.empty()) return page(desk, "Waits", "<p id=\"none\">Nothing is curing or running.</p>");
  return page(desk, "Waits", timer_list(desk, all, "In the order of harm", "ended"));
}

}  // namespace handlot::bench
