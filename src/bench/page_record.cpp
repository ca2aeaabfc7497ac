#include <fmt/format.h>

#include <algorithm>

#include "bench/html.h"
#include "bench/page.h"
#include "core/text.h"
#include "record/meant.h"
#include "record/report.h"

namespace handlot::bench {
namespace {

using record::Event;
using record::Kind;

constexpr std::size_t kLinesOnPage = 100;

bool may_be_struck(const Event& e) {
  return e.kind != Kind::correction && e.kind != Kind::clock && e.kind != Kind::plan;
}

/// The whole pass goes to that unit, with its times: a clock that it began runs from then.
std::string other_unit_form(const Desk& desk, const Event& e) {
  const auto* step = record::find_step(desk.g.plan, e.step);
  if (!record::may_be_of_another_unit(e.kind) || e.unit == 0 || !step || step->timing.whole_lot) return "";
  std::string options;
  for (const int n : desk.g.state.good_units())
    if (n != e.unit) options += fmt::format("<option>{}</option>", n);
  if (options.empty()) return "";
  return form("other-unit", {{"target", e.id}, {"back", "/record"}}, "It was that unit, at that time", "line",
              fmt::format(R"(<label>It was unit <select name="unit">{}</select></label><label>How it came <input name="text" required maxlength="300" autocomplete="off"></label>)", options));
}

std::string line_item(const Desk& desk, const Event& e) {
  const auto struck = desk.g.state.struck.find(e.id);
  const bool gone = struck != desk.g.state.struck.end();
  std::string out = fmt::format(R"(<li value="{}" data-line="{}"><p>{}: {}{}{}{}</p>)", e.seq, esc(e.id),
                                when(desk, {e.seq, e.at.ran_ms, e.at.wall_ms}), gone ? "<s>" : "",
                                esc(record::in_words(desk.g.plan, e)), gone ? "</s>, struck through" : "",
                                e.screen.empty() ? "" : " (" + esc(e.screen) + ")");
  if (desk.may_write && !gone && may_be_struck(e))
    out +=
        fmt::format("<details id=\"c{}\"><summary>Correct line {}</summary>", e.seq, e.seq) +
        form(
            "correct", {{"target", e.id}, {"back", "/record"}}, "Strike it through", "line",
            R"(<label>Why it is wrong <input name="text" required maxlength="300" autocomplete="off"></label>)") +
        other_unit_form(desk, e) + "</details>";
  return out + "</li>";
}

std::string yield_table(const Desk& desk) {
  const auto r = record::report(desk.g.plan, desk.g.state);
  if (r.yields.empty()) return "";
  std::string out =
      R"(<section id="yield"><h2>Right the first time</h2><table><caption>Units that needed no rework at the step</caption><thead><tr><th scope="col">Step</th><th scope="col">Units</th></tr></thead><tbody>)";
  for (const auto& y : r.yields) {
    const auto* step = record::find_step(desk.g.plan, y.step);
    out += fmt::format("<tr><th scope=\"row\">{} {}</th><td>{}</td></tr>", step->number, esc(step->title),
                       record::share(y.first_time, y.tried));
  }
  return out + "</tbody></table></section>";
}

}  // namespace

std::string record_page(const Desk& desk, std::int64_t before) {
  std::string out = "<section id=\"lines\"><h2>Lines, newest first</h2><ol class=\"lines\" reversed>";
  std::size_t shown = 0;
  std::int64_t first = 0;
  for (auto line = desk.g.lines.rbegin(); line != desk.g.lines.rend() && shown < kLinesOnPage; ++line) {
    if (before > 0 && line->seq >= before) continue;
    out += line_item(desk, *line);
    first = line->seq;
    ++shown;
  }
  out += "</ol>";
  if (shown == 0) out += "<p>Nothing is written yet.</p>";
  if (first > 1)
    out += fmt::format(R"(<p><a class="button" href="/record?before={}">Earlier lines</a></p>)", first);
  out +=
      R"(<p><a class="button" href="/record.json">All lines as JSON</a> <a class="button" href="/export">Whole record as one file</a></p></section>)";
  return page(desk, "Record", out + yield_table(desk));
}

std::string kit_page(const Desk& desk) {
  std::string out = R"(<section id="materials"><h2>Materials and their lots</h2>)";
  std::size_t rows = 0;
  for (const auto& row : desk.g.plan.kit) {
    if (row.kind != "material" && row.kind != "consumable") continue;
    ++rows;
    out += fmt::format(R"(<div class="material"><h3>{}</h3>)", esc(row.name));
    const auto lots = desk.g.state.lots.find(row.id);
    if (lots != desk.g.state.lots.end()) {
      out += "<ul>";
      for (const auto& lot : lots->second)
        out += fmt::format("<li>lot {}, opened {}{}</li>", esc(lot.lot), when(desk, lot.opened),
                           lot.used > 0 ? fmt::format(", {} {} used", number(lot.used), esc(row.unit)) : "");
      out += "</ul>";
    } else if (const auto known = desk.g.plan.material_lots.find(row.id);
               known != desk.g.plan.material_lots.end()) {
      out += fmt::format("<p>lot {} by the job file</p>", esc(known->second));
    } else {
      out += "<p>no lot written down yet</p>";
    }
    if (desk.may_write) {
      out +=
          form("lot-opened", {{"item", row.id}, {"back", "/kit"}}, "Opened", "line",
               R"(<label>Lot number <input name="text" required maxlength="80" autocomplete="off"></label>)");
      if (lots != desk.g.state.lots.end())
        out += form(
            "lot-used", {{"item", row.id}, {"text", lots->second.back().lot}, {"back", "/kit"}}, "Used",
            "line",
            fmt::format(
                R"(<label>Amount, {} <input name="value" inputmode="decimal" required size="7" maxlength="24"></label><label>Units <input name="units" size="8" maxlength="40" autocomplete="off"></label>)",
                esc(row.unit.empty() ? "pieces" : row.unit)));
    }
    out += "</div>";
  }
  if (rows == 0) out += "<p>The plan names no materials.</p>";
  return page(desk, "Materials", out + "</section>");
}

std::string screens_page(const Desk& desk, const Access& access, const std::string& url) {
  std::string out;
  if (access.rules().open) {
    out += fmt::format(
        R"(<section id="codes"><p>This bench listens on this computer only ({}), and asks for no code.</p></section>)",
        esc(url));
  } else if (desk.may_write) {
    const auto codes = access.codes();
    out += fmt::format(
        R"(<section id="codes"><h2>Pair a screen</h2><p>Open <strong>{}pair</strong> on the screen, or scan the picture, and type a code.</p>)",
        esc(url));
    out += R"(<p><img class="qr" src="/qr.svg" alt="QR code of the pairing address"></p>)";
    out += fmt::format(
        R"(<dl class="needs"><dt>To write</dt><dd><code>{}</code></dd><dt>To look only</dt><dd><code>{}</code></dd></dl>)",
        codes.write, codes.read);
    out += form("renew-codes", {{"back", "/screens"}}, "New codes") + "</section>";
  }
  out += R"(<section id="screens"><h2>Paired screens</h2><ul class="plain">)";
  bool any = false;
  for (const auto& screen : access.screens()) {
    any = true;
    out += fmt::format("<li class=\"row\"><span>{}: {}, paired {}</span>", esc(screen.label),
                       screen.withdrawn   ? "withdrawn"
                       : screen.may_write ? "may write"
                                          : "may look",
                       esc(calendar::short_text(Instant(screen.wall_ms / 1000), desk.zone)));
    if (!screen.withdrawn && desk.may_write)
      out += form("withdraw", {{"item", screen.token_hash}, {"back", "/screens"}},
                  "Withdraw " + esc(screen.label));
    out += "</li>";
  }
  out += "</ul>";
  if (!any) out += "<p>None.</p>";
  out += R"(</section><section id="refusals"><h2>Refused, newest first</h2><ul>)";
  const auto refusals = access.refusals();
  for (const auto& line : refusals) out += fmt::format("<li>{}</li>", esc(line));
  return page(desk, "Screens",
              out + (refusals.empty() ? "</ul><p>Nothing.</p></section>" : "</ul></section>"));
}

std::string pair_page(const std::string& code, const std::string& fault) {
  std::string out =
      "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" "
      "content=\"width=device-width, initial-scale=1\"><meta name=\"color-scheme\" content=\"light dark\">";
  out +=
      R"(<title>Pair this screen</title><link rel="stylesheet" href="/page/bench.css"></head><body><main id="main"><h1>Pair this screen</h1>)";
  if (!fault.empty())
    out += fmt::format(R"(<section class="box bad" role="alert"><p>{}</p></section>)", esc(fault));
  out +=
      R"(<section><p>The code stands on the terminal where the bench was started, and on the page "Screens" of a paired screen.</p><form method="post" action="/pair" class="line">)";
  out += fmt::format(
      R"(<label>Code <input name="code" value="{}" required autocomplete="off" autocapitalize="characters" spellcheck="false" maxlength="16" size="12"></label>)",
      esc(code.substr(0, 16)));
  return out +
         R"(<label>Name of this screen <input name="label" maxlength="40" value="tablet"></label><button class="main">Pair</button></form></section></main></body></html>)";
}

}  // namespace handlot::bench
