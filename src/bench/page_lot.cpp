#include <fmt/format.h>

#include <algorithm>

#include "bench/html.h"
#include "bench/page.h"
#include "core/text.h"
#include "record/report.h"

namespace handlot::bench {
namespace {

using record::Cell;
using record::Event;
using record::Stand;

struct Sign {
  const char* css;
  const char* shape;
};

Sign sign(Stand stand) {
  switch (stand) {
    case Stand::open:
      return {"open", "\u25CB"};
    case Stand::started:
      return {"hand", "\u25D0"};
    case Stand::running:
      return {"running", "\u25D4"};
    case Stand::done:
      return {"good", "\u2713"};
    case Stand::again:
      return {"late", "\u21BB"};
  }
  return {"", ""};
}

std::string serial(const plan::Plan& plan, int unit) {
  const auto at = static_cast<std::size_t>(unit - 1);
  return at < plan.head.serials.size() ? plan.head.serials[at] : fmt::format("unit {}", unit);
}

std::string cell_mark(const Cell* cell) {
  const Stand stand = cell ? cell->stand : Stand::open;
  const auto [css, shape] = sign(stand);
  return fmt::format(
      R"(<span class="mark {}" title="{}"><span aria-hidden="true">{}</span><span class="visually-hidden">{}</span></span>)",
      css, record::word(stand), shape, record::word(stand));
}

std::string photos_html(const Cell& cell, const std::string& what) {
  std::string out;
  for (const auto& name : cell.photos)
    out += fmt::format(R"(<a class="thumb" href="/photo/{0}"><img src="/photo/{0}" alt="Photo of {1}"></a>)",
                       esc(name), esc(what));
  return out;
}

std::string entry_html(const record::Entry& e, const char* more) {
  return fmt::format("<p>{}: {}{}{}</p>", esc(e.asked.what),
                     e.value ? esc(number(*e.value, 6) + " " + e.asked.unit +
                                   (e.asked.limit.empty() ? "" : " (" + e.asked.limit + ")"))
                             : "seen",
                     more, e.within ? "" : " " + mark("late", "\u25B2", "outside the limits"));
}

std::string step_row(const Desk& desk, const plan::Step& step, int unit) {
  const Cell* cell = record::cell_of(desk.g.state, step, unit);
  std::string out = fmt::format(R"(<tr><th scope="row"><a href="/step/{}">{} {}</a></th><td>{} {}</td><td>)",
                                esc(step.id.text), step.number, esc(step.title), cell_mark(cell),
                                record::word(cell ? cell->stand : Stand::open));
  if (!cell) return out + "</td><td></td></tr>";
  if (cell->done) out += when(desk, *cell->done);
  if (cell->passes > 1) out += fmt::format(", pass {}", cell->passes);
  out += "</td><td>" + entries_html(step, *cell);
  for (const auto& reason : cell->because) out += fmt::format("<p>All the same, because: {}</p>", esc(reason));
  if (!cell->again_because.empty()) out += fmt::format("<p>Again, because: {}</p>", esc(cell->again_because));
  for (const auto& note : cell->notes) out += fmt::format("<p>Note: {}</p>", esc(note));
  return out + photos_html(*cell, step.title) + "</td></tr>";
}

std::string unit_table(const Desk& desk, int unit) {
  std::string out =
      R"(<div class="wide" tabindex="0" role="region" aria-label="Steps of the unit"><table><caption>Steps</caption><thead><tr><th scope="col">Step</th><th scope="col">Stands</th><th scope="col">When</th><th scope="col">Values and words</th></tr></thead><tbody>)";
  for (const auto& step : desk.g.plan.work.steps) out += step_row(desk, step, unit);
  return out + "</tbody></table></div>";
}

std::string history(const Desk& desk, int unit) {
  std::string out;
  for (const Event& e : desk.g.lines) {
    const auto* step = record::find_step(desk.g.plan, e.step);
    const bool ours = e.unit == unit || (e.unit == 0 && step && step->timing.whole_lot);
    if (!ours) continue;
    const bool struck = desk.g.state.struck.count(e.id) > 0;
    out += fmt::format("<li>{}: {}{}{}</li>", when(desk, {e.seq, e.at.ran_ms, e.at.wall_ms}),
                       struck ? "<s>" : "", esc(record::in_words(desk.g.plan, e)),
                       struck ? "</s>, struck through" : "");
  }
  return out.empty() ? ""
                     : "<section id=\"history\"><h2>Lines of the record</h2><ol class=\"lines\">" + out +
                           "</ol></section>";
}

std::string unit_head(const Desk& desk, int unit) {
  const auto& u = desk.g.state.units[static_cast<std::size_t>(unit - 1)];
  const auto& head = desk.g.plan.head;
  std::string out = fmt::format(
      R"(<section id="head"><dl class="needs"><dt>Serial</dt><dd>{}</dd><dt>Device</dt><dd>{} {}</dd><dt>Plan</dt><dd>{}</dd>)",
      esc(serial(desk.g.plan, unit)), esc(head.name), esc(u.revision.empty() ? head.revision : u.revision),
      esc(u.plan.empty() ? head.hash : u.plan));
  for (const auto& document : head.documents)
    out += fmt::format("<dt>{}</dt><dd>{}</dd>", esc(document.name), esc(document.revision));
  for (const auto& lot : record::lots_of_unit(desk.g.plan, desk.g.state, desk.g.lines, unit))
    out += fmt::format("<dt>{}</dt><dd>lot {}</dd>", esc(lot.material), esc(lot.lot));
  if (u.reworks > 0) out += fmt::format("<dt>Reworked</dt><dd>{}</dd>", counted(u.reworks, "time", "times"));
  if (u.scrapped) out += fmt::format("<dt>Scrapped</dt><dd>{}</dd>", esc(u.scrapped_because));
  return out + "</dl></section>";
}

}  // namespace

std::string entries_html(const plan::Step& step, const Cell& cell) {
  std::string out;
  for (const auto& check : step.checks) {
    const auto entry = cell.checks.find(check.id);
    if (entry == cell.checks.end()) {
      if (cell.stand == Stand::done) out += fmt::format("<p>{}: not recorded</p>", esc(check.what));
      continue;
    }
    out += entry_html(entry->second, "");
  }
  for (const auto& entry : cell.gone) out += entry_html(entry, ", which the job asks no more");
  return out;
}

std::string lot_page(const Desk& desk) {
  const auto& plan = desk.g.plan;
  std::string out = R"(<p class="fine" id="key">)";
  for (const Stand stand : {Stand::open, Stand::started, Stand::running, Stand::done, Stand::again})
    out += mark(sign(stand).css, sign(stand).shape, record::word(stand)) + " ";
  out +=
      R"(</p><div class="wide" tabindex="0" role="region" aria-label="Every step of every unit" id="grid"><table class="grid"><caption>Units against steps</caption><thead><tr><th scope="col">Step</th>)";
  for (int n = 1; n <= desk.g.state.lot; ++n) {
    const bool gone = !desk.g.state.in_lot(n);
    out += fmt::format(R"(<th scope="col"><a href="/unit/{}">{}{}{}</a>{}</th>)", n, gone ? "<s>" : "", n,
                       gone ? "</s>" : "", gone ? "<span class=\"visually-hidden\"> scrapped</span>" : "");
  }
  out += "</tr></thead><tbody>";
  for (const auto& step : plan.work.steps) {
    out += fmt::format(R"(<tr><th scope="row"><a href="/step/{}">{} {}</a></th>)", esc(step.id.text),
                       step.number, esc(step.title));
    for (int n = 1; n <= desk.g.state.lot; ++n)
      out += fmt::format(R"(<td data-cell="{}:{}">{}</td>)", esc(step.id.text), n,
                         desk.g.state.in_lot(n) ? cell_mark(record::cell_of(desk.g.state, step, n))
                                                : R"(<span class="visually-hidden">scrapped</span>)");
    out += "</tr>";
  }
  return page(desk, "Lot", out + "</tbody></table></div>");
}

std::string unit_page(const Desk& desk, int unit) {
  std::string out = unit_head(desk, unit) + unit_table(desk, unit);
  out += fmt::format(
      R"(<p><a class="button" href="/unit/{0}/record.pdf">Build record of this unit as PDF</a> <a class="button" href="/unit/{0}/print">on one page</a></p>)",
      unit);
  if (desk.may_write && desk.g.state.in_lot(unit)) {
    std::string steps;
    for (const auto& step : desk.g.plan.work.steps)
      if (const auto* cell = record::cell_of(desk.g.state, step, unit); cell && (cell->stand != Stand::open || cell->passes > 0))
        steps += fmt::format(R"(<option value="{}">{} {}</option>)", esc(step.id.text), step.number, esc(step.title));
    const auto text = [](const char* what) {
      return fmt::format(
          R"(<label>{} <input name="text" required maxlength="600" autocomplete="off"></label>)", what);
    };
    out += R"(<section id="amend"><h2>Rework or scrap</h2>)";
    if (!steps.empty())
      out += form("rework", {{"unit", std::to_string(unit)}, {"back", desk.here}}, "To be done again", "line",
                  R"(<label>Step <select name="step">)" + steps + "</select></label>" + text("Fault, and where"));
    out += form("scrap", {{"unit", std::to_string(unit)}, {"back", desk.here}}, "Scrap the unit", "line",
                text("Why it is lost"), "class=\"danger\"");
    out += "</section>";
  }
  return page(desk, "Unit " + std::to_string(unit) + ", " + serial(desk.g.plan, unit),
              out + history(desk, unit));
}

std::string unit_print(const Desk& desk, int unit) {
  const auto& head = desk.g.plan.head;
  std::string out =
      "<!doctype html>\n<html lang=\"en\" class=\"paper\"><head><meta charset=\"utf-8\"><meta "
      "name=\"viewport\" content=\"width=device-width, initial-scale=1\">";
  out += fmt::format(
      R"(<title>Build record {} - {}</title><link rel="stylesheet" href="/page/bench.css"></head><body><main id="main">)",
      esc(serial(desk.g.plan, unit)), esc(head.name));
  out += fmt::format("<h1>Build record: {} {}, {}</h1>", esc(head.name), esc(head.revision),
                     esc(serial(desk.g.plan, unit)));
  out += unit_head(desk, unit) + unit_table(desk, unit) + history(desk, unit);
  out += fmt::format("<p>As of {}, {} in the record, plan {}.</p>",
                     esc(calendar::long_text(Instant(desk.g.now.wall_ms / 1000), desk.zone)),
                     counted(static_cast<long>(desk.g.state.seq), "line", "lines"), esc(head.hash));
  return out + "</main></body></html>";
}

}  // namespace handlot::bench
