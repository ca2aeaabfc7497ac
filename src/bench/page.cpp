#include "bench/page.h"

#include <cmath>
#include <qrcodegen.hpp>

#include <fmt/format.h>

#include "bench/html.h"
#include "bench/intake.h"
#include "core/text.h"
#include "record/meant.h"

namespace handlot::bench {
namespace {

using record::Event;
using record::Kind;

struct Door {
  const char* path;
  const char* name;
};
constexpr Door kDoors[] = {{"/", "Now"},           {"/lot", "Lot"},   {"/waits", "Waits"},
                           {"/kit", "Materials"},  {"/plan", "Plan"}, {"/record", "Record"},
                           {"/screens", "Screens"}};

std::string doors(const std::string& here) {
  std::string out = R"(<nav aria-label="Pages"><ul>)";
  for (const Door& door : kDoors)
    out += fmt::format(R"(<li><a href="{}"{}>{}</a></li>)", door.path,
                       here == door.path ? R"( aria-current="page")" : "", door.name);
  return out + "</ul></nav>";
}

std::string trouble_box(const Diagnostics& trouble) {
  if (trouble.empty()) return "";
  return fmt::format(
      R"(<section class="box bad" id="trouble" role="alert"><h2>The record cannot be written</h2><p>{}.</p><p>To mend it: {}.</p></section>)",
      esc(trouble.front().text), esc(trouble.front().mend));
}

std::string notice_box(const Desk& desk) {
  if (desk.notice.empty()) return "";
  return fmt::format(R"(<section class="box bad" id="notice" role="alert"><h2>The job cannot be built as planned</h2><p>{}.</p><p>What runs and cures stands here all the same, and so does the record.</p></section>)",
                     esc(desk.notice));
}

/// Asked once for all time that nobody saw go by.
std::string clock_box(const Desk& desk) {
  const auto claim = record::open_claim(desk.g.state.gaps);
  if (!claim) return "";
  std::string out = R"(<section class="box ask" id="clock"><h2>Is this clock right?</h2>)";
  out += fmt::format(
      "<p>By the clock it is <strong>{}</strong>, and {} went by while the machine was off or its clock was "
      "moved. "
      "Cures count that time only when you say so.</p>",
      esc(calendar::short_text(Instant(desk.g.now.wall_ms / 1000), desk.zone)), span_text(*claim));
  if (!desk.may_write) return out + "</section>";
  out += R"(<div class="row">)";
  out += form("settled",
              {{"value", fmt::format("{:.0f}", *claim)}, {"text", "the clock is right"}, {"back", desk.here}},
              "Yes, that time went by", "", "", "class=\"main\"");
  out += form("settled", {{"value", "0"}, {"text", "the clock was set"}, {"back", desk.here}},
              "No, the clock was set");
  return out + "</div></section>";
}

std::string plan_box(const Desk& desk) {
  if (desk.here == "/plan" || desk.g.lines.empty() || desk.g.state.plan == desk.g.plan.head.hash) return "";
  return R"(<section class="box ask" id="newplan"><p>The plan is another than the record goes by. <a class="button" href="/plan">Say for which units it holds</a></p></section>)";
}

/// The last touch, for ten seconds.
std::string undo_bar(const Desk& desk) {
  if (!desk.may_write || desk.g.lines.empty()) return "";
  const Event& last = desk.g.lines.back();
  const record::Moment then{last.seq, last.at.ran_ms, last.at.wall_ms};
  const double gone = record::elapsed(then, desk.g.now, desk.g.state.gaps).most_s;
  const bool fixed = last.kind == Kind::correction || last.kind == Kind::clock || last.kind == Kind::plan ||
                     last.kind == Kind::settled || record::stands_in(last);
  if (fixed || gone >= record::kUndoSeconds) return "";
  return fmt::format(
      R"(<aside id="undo" aria-label="Undo" data-left="{:.1f}"><span role="status">{}</span>{}</aside>)",
      record::kUndoSeconds - gone, esc(record::in_words(desk.g.plan, last)),
      form("undo", {{"target", last.id}, {"back", desk.here}}, "Undo"));
}

/// Every form says which record its page is of, so that a page of the lot before never writes into this one.
std::string with_record(std::string html, const std::string& record) {
  static constexpr std::string_view kId = R"(<input type="hidden" name="id")";
  const std::string field =
      fmt::format(R"(<input type="hidden" name="record" value="{}">)", esc(record.substr(0, record.find(' '))));
  for (std::size_t at = 0; (at = html.find(kId, at)) != std::string::npos; at += field.size() + kId.size())
    html.insert(at, field);
  return html;
}

}  // namespace

std::string resume_box(const Desk& desk) {
  const auto card = record::resume_card(desk.g.plan, desk.g.state, desk.g.now);
  if (!card) return "";
  std::string out = fmt::format(R"(<section class="box" id="resume"><h2>Back after {}</h2><p>Last: {}.</p>)",
                                span_text(card->away_s), esc(card->last));
  if (!card->look_at.empty()) {
    out += "<h3>Look at this first</h3><ul>";
    for (const auto& line : card->look_at) out += fmt::format("<li>{}</li>", esc(line));
    out += "</ul>";
  }
  out += fmt::format("<p>{} ended meanwhile, {} still running.</p>",
                     counted(static_cast<long>(card->ended.size()), "wait has", "waits have"),
                     counted(static_cast<long>(card->clocking.size()), "is", "are"));
  if (desk.may_write) out += form("resume", {{"back", desk.here}}, "I am back");
  return out + "</section>";
}

std::string span_text(double seconds) {
  return in_words(Duration(std::llround(std::max(0.0, seconds))));
}

std::string when(const Desk& desk, const record::Moment& moment) {
  return esc(calendar::short_text(Instant((moment.wall_ms - moment.kept_ms) / 1000), desk.zone));
}

std::string wall_in(const Desk& desk, double seconds_from_now) {
  return esc(
      calendar::short_text(Instant(desk.g.now.wall_ms / 1000 + std::llround(seconds_from_now)), desk.zone));
}

std::string page(const Desk& desk, const std::string& title, const std::string& main) {
  const auto& head = desk.g.plan.head;
  const std::string& record = desk.g.record;
  std::string out = "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">";
  out +=
      R"(<meta name="viewport" content="width=device-width, initial-scale=1"><meta name="color-scheme" content="light dark">)";
  out += fmt::format("<title>{} - {}</title>", esc(title), esc(head.name));
  out +=
      R"(<link rel="stylesheet" href="/page/bench.css"><link rel="icon" href="/page/icon.svg" type="image/svg+xml">)";
  out += R"(<script type="module" src="/page/bench.js"></script></head><body>)";
  out += R"(<a class="skip" href="#main">To the step in hand</a>)";
  out += fmt::format(
      R"(<header><p class="job"><strong>{}</strong> {} <span class="hash">plan {}</span></p><p id="link" role="status"></p>{}</header>)",
      esc(head.name), esc(head.revision), esc(head.hash), doors(desk.here));
  out += fmt::format(
      R"(<main id="main" tabindex="-1" data-ran="{}" data-seq="{}" data-write="{}" data-record="{}"><h1>{}</h1><div id="said" role="alert"></div>)",
      desk.g.now.ran_ms, desk.g.state.seq, desk.may_write ? 1 : 0, esc(record), esc(title));
  const std::string parts = trouble_box(desk.trouble) + notice_box(desk) + clock_box(desk) + plan_box(desk) + main + undo_bar(desk);
  out += (record.empty() ? parts : with_record(parts, record)) + "</main>";
  out += fmt::format(
      R"(<footer><p>{}{}. The server keeps the time: this page may sleep.</p><div class="row"><button type="button" id="sound" hidden>Sound is off: turn it on</button></div></footer></body></html>)",
      esc(calendar::long_text(Instant(desk.g.now.wall_ms / 1000), desk.zone)),
      desk.may_write ? "" : ". This screen may look, not write");
  return out;
}

std::string refusal_page(const Desk& desk, const Diagnostics& why, const Request& request, bool insist) {
  std::string out = R"(<section class="box bad" id="refused"><h2>Not written</h2><ul>)";
  for (const auto& d : why) out += fmt::format("<li>{}. <strong>{}.</strong></li>", esc(d.text), esc(d.mend));
  out += "</ul>";
  const bool rework = request.field("act") == "rework";
  if (insist) {
    out += R"(<form method="post" action="/do" class="act">)";
    if (rework) out += fmt::format(R"(<input type="hidden" name="item" value="{}">)", record::kReached);
    for (const auto& [name, value] : request.fields)
      if (name != "text" && name != "id" && name != "record" && name != "age" && !(rework && name == "item"))
        out += fmt::format(R"(<input type="hidden" name="{}" value="{}">)", esc(name), esc(value));
    out += fmt::format(
        R"(<input type="hidden" name="id" value="{}"><label>{} <input name="text" required maxlength="600" value="{}"></label><button>Do it, and keep the reason</button></form>)",
        form_id(), rework ? "Fault, and how it is reached" : "Why all the same?", rework ? esc(request.field("text")) : "");
  }
  out += fmt::format(R"(<p><a class="button" href="{}">Back</a></p></section>)",
                     esc(safe_back(request.field("back"))));
  return page(desk, "Not written", out);
}

std::string qr_svg(const std::string& text) {
  const auto qr = qrcodegen::QrCode::encodeText(text.c_str(), qrcodegen::QrCode::Ecc::MEDIUM);
  const int n = qr.getSize();
  std::string path;
  for (int y = 0; y < n; ++y)
    for (int x = 0; x < n; ++x)
      if (qr.getModule(x, y)) path += fmt::format("M{} {}h1v1h-1z", x + 4, y + 4);
  return fmt::format(
      R"(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {0} {0}" shape-rendering="crispEdges"><rect width="{0}" height="{0}" fill="#fff"/><path d="{1}" fill="#000"/></svg>)",
      n + 8, path);
}

/// Two rows of modules in one line of characters; light on dark terminals is read by phones all the same
/// because the quiet zone is drawn too.
std::string qr_text(const std::string& text) {
  const auto qr = qrcodegen::QrCode::encodeText(text.c_str(), qrcodegen::QrCode::Ecc::LOW);
  const int n = qr.getSize();
  const auto dark = [&](int x, int y) { return x >= 0 && y >= 0 && x < n && y < n && qr.getModule(x, y); };
  std::string out;
  for (int y = -2; y < n + 2; y += 2) {
    for (int x = -2; x < n + 2; ++x)
      out += dark(x, y) ? (dark(x, y + 1) ? " " : "\u2584") : (dark(x, y + 1) ? "\u2580" : "\u2588");
    out += "\n";
  }
  return out;
}

}  // namespace handlot::bench
