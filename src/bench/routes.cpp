#include "bench/routes.h"

#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "bench/alarms.h"
#include "bench/html.h"
#include "bench/intake.h"
#include "bench/photos.h"
#include "record/report.h"
#include "sheets/json.h"
#include "sheets/pdf.h"
#include "sheets/signs.h"

namespace handlot::bench {
namespace {

using nlohmann::ordered_json;
using record::Event;
using record::Kind;

Answer text_answer(int status, std::string text) {
  return {status, "text/plain; charset=utf-8", std::move(text), {}, ""};
}
Answer missing() {
  return text_answer(404, "there is no such page\n");
}

std::string dumped(const ordered_json& j) {
  return j.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
}

std::optional<std::string> after(const std::string& path, std::string_view head) {
  if (path.rfind(head, 0) != 0 || path.size() == head.size()) return std::nullopt;
  return path.substr(head.size());
}

/// "12" of a path; 0 where it is no number of the lot.
int unit_number(const std::string& text, int lot) {
  const auto units = read_units(text, lot);
  return units && units->size() == 1 ? units->front() : 0;
}

constexpr double kLongestAway = 366 * 24;  // hours [practice]: whoever is away for longer leaves the job

int status_of(const Diagnostics& why) {
  const std::string& code = why.front().code;
  if (code == "record-disk-full" || code == "record-read-only" || code == "record-open" ||
      code == "record-write" || code == "record-damaged" || code == "record-not-ours" ||
      code == "record-later-version" || code == "bench-stopping")
    return 507;  // the page keeps it and tries again
  return 409;
}

bool may_insist(const Request& request, const Diagnostics& why) {
  const std::string act = request.field("act");
  if (act == "rework") return std::all_of(why.begin(), why.end(), [](const Diagnostic& d) { return d.code == "record-no-way-back"; });
  if ((act != "start" && act != "done") || !request.field("text").empty()) return false;
  return std::all_of(why.begin(), why.end(), [](const Diagnostic& d) {
    return d.code == "record-refused" && d.text.rfind("hold:", 0) != 0 &&
           d.text.find(" already") == std::string::npos && d.text.find("not in the lot") == std::string::npos;
  });
}

}  // namespace

Routes::Routes(Shop& shop, Access& access, Wire& wire, calendar::Zone zone, std::string url, bool can_replan,
               std::string notice)
    : shop_(shop), access_(access), wire_(wire), zone_(zone), url_(std::move(url)), can_replan_(can_replan), notice_(std::move(notice)) {}

std::optional<Answer> Routes::early(const Request& request) {
  auto answer = access_.refuse_early(request);
  if (!answer) return std::nullopt;
  for (auto& header : safe_headers()) answer->headers.push_back(header);
  return answer;
}

Answer Routes::handle(const Request& request) {
  Answer answer = request.method == "POST" ? write(request) : show(request);
  const bool own_policy = std::any_of(answer.headers.begin(), answer.headers.end(),
                                      [](const auto& h) { return h.first == "Content-Security-Policy"; });
  for (auto& header : safe_headers())
    if (!own_policy || header.first != "Content-Security-Policy") answer.headers.push_back(header);
  return answer;
}

template <class F>
Answer Routes::with_desk(const Request& request, F make) {
  const auto trouble = shop_.trouble();  // before the state is held: its lock stands above that one
  const bool may_write = access_.right_of(request) == Right::write;
  Answer answer;
  shop_.look([&](const Glimpse& g) {
    const Desk desk{g, zone_, may_write, request.path, trouble, notice_};
    answer.body = make(desk);
  });
  if (answer.body.empty()) return missing();
  return answer;
}

Answer Routes::show(const Request& request) {
  const std::string& path = request.path;
  if (path == "/pair") return {200, "text/html; charset=utf-8", pair_page(request.field("code"), ""), {}, ""};
  if (const auto name = after(path, "/page/")) return built_in_file(*name).value_or(missing());
  if (path == "/") return with_desk(request, [](const Desk& d) { return now_page(d); });
  if (path == "/lot") return with_desk(request, [](const Desk& d) { return lot_page(d); });
  if (path == "/waits") return with_desk(request, [](const Desk& d) { return waits_page(d); });
  if (path == "/waits.ics") {
    Answer answer = with_desk(request, [](const Desk& d) {
      return alarms(d.g.plan, d.g.state, record::timers(d.g.plan, d.g.state, d.g.now), d.g.now);
    });
    answer.type = "text/calendar; charset=utf-8";
    answer.headers.emplace_back("Content-Disposition", "inline; filename=\"waits.ics\"");
    return answer;
  }
  if (path == "/keeper.js") return built_in_file("keeper.js").value_or(missing());
  if (path == "/kit") return with_desk(request, [](const Desk& d) { return kit_page(d); });
  if (path == "/plan") {
    const auto proposal = shop_.proposal();
    return with_desk(request, [&](const Desk& d) { return plan_page(d, proposal, {}, can_replan_); });
  }
  if (path == "/record")
    return with_desk(
        request, [&](const Desk& d) { return record_page(d, std::atoll(request.field("before").c_str())); });
  if (path == "/screens")
    return with_desk(request, [&](const Desk& d) { return screens_page(d, access_, url_); });
  if (const auto id = after(path, "/step/"))
    return with_desk(request, [&](const Desk& d) {
      const auto* step = record::find_step(d.g.plan, StepId(*id));
      return step ? step_page(d, *step) : std::string{};
    });
  if (const auto rest = after(path, "/unit/")) return unit(request, *rest);
  if (const auto name = after(path, "/picture/")) {
    Answer answer = with_desk(request, [&](const Desk& d) {
      const auto* step =
          name->size() > 4 ? record::find_step(d.g.plan, StepId(name->substr(0, name->size() - 4))) : nullptr;
      return step && name->substr(name->size() - 4) == ".svg" ? step->picture_svg : std::string{};
    });
    if (answer.status == 200) answer.type = "image/svg+xml";
    answer.headers.emplace_back("Content-Security-Policy",
                                "default-src 'none'; style-src 'unsafe-inline'; sandbox");
    return answer;
  }
  if (const auto name = after(path, "/photo/")) {
    const auto photo = shop_.photo(*name);
    if (!photo || !*photo || (*photo)->type.rfind("image/", 0) != 0) return missing();
    return {200,
            (*photo)->type,
            (*photo)->bytes,
            {{"Content-Security-Policy", "default-src 'none'; sandbox"}},
            ""};
  }
  if (const auto name = after(path, "/sign/")) {
    const std::string code = name->substr(0, name->find('.'));
    const auto known = sheets::sign_codes();
    if (*name != code + ".svg" || std::find(known.begin(), known.end(), code) == known.end()) return missing();
    return {200, "image/svg+xml", sheets::sign_svg(code), {}, ""};
  }
  if (path == "/qr.svg") return {200, "image/svg+xml", qr_svg(url_ + "pair"), {}, ""};
  if (path == "/state.json") return state_json(request);
  if (path == "/record.json") {
    Answer answer = with_desk(request, [](const Desk& d) {
      return record::json(record::report(d.g.plan, d.g.state), d.g.plan, d.g.state, d.g.lines);
    });
    answer.type = "application/json";
    return answer;
  }
  if (path == "/plan.json") {
    Answer answer = with_desk(request, [](const Desk& d) { return sheets::to_json(d.g.plan); });
    answer.type = "application/json";
    return answer;
  }
  if (path == "/export") return export_file();
  if (path == "/live") return live(request);
  return missing();
}

/// "3", "3/print" or "3/record.pdf".
Answer Routes::unit(const Request& request, const std::string& rest) {
  const std::string number = rest.substr(0, rest.find('/'));
  const std::string tail = rest.substr(number.size());
  const Photos photos = tail == "/record.pdf" ? photos_of(request, number) : Photos{};
  Answer answer = with_desk(request, [&](const Desk& d) {
    const int n = unit_number(number, d.g.state.lot);
    if (n == 0) return std::string{};
    if (tail.empty()) return unit_page(d, n);
    if (tail == "/print") return unit_print(d, n);
    return tail == "/record.pdf" ? sheets::to_pdf(unit_sheet(d, n, photos)) : std::string{};
  });
  if (tail == "/record.pdf" && answer.status == 200) {
    answer.type = "application/pdf";
    answer.headers.emplace_back("Content-Disposition",
                                fmt::format("inline; filename=\"unit-{}.pdf\"", number));
  }
  return answer;
}

/// Read before the page is made: the file's lock stands above that of the state.
Photos Routes::photos_of(const Request& request, const std::string& number) {
  std::vector<std::string> names;
  (void)with_desk(request, [&](const Desk& d) {
    if (const int n = unit_number(number, d.g.state.lot); n > 0) names = photo_names(d, n);
    return std::string{};
  });
  Photos out;
  for (const auto& name : names)
    if (auto photo = shop_.photo(name); photo && *photo) out[name] = std::move(**photo);
  return out;
}

Answer Routes::live(const Request& request) {
  if (wire_.live_count() >= Limits{}.live) return text_answer(503, "too many screens at once\n");
  Answer answer;
  answer.type = "text/event-stream";
  answer.body = fmt::format("retry: 1500\n\ndata: {{\"t\":\"hello\",\"ran\":{},\"seq\":{}}}\n\n",
                            shop_.now().ran_ms, shop_.seq());
  answer.live = access_.key_of(request);
  return answer;
}

Answer Routes::state_json(const Request& request) {
  Answer answer = with_desk(request, [&](const Desk& d) {
    const auto view = record::look(d.g.plan, d.g.state, d.g.now);
    ordered_json j{{"seq", d.g.state.seq},       {"ran_ms", d.g.now.ran_ms}, {"wall_ms", d.g.now.wall_ms},
                   {"plan", d.g.plan.head.hash}, {"done", view.done},        {"all", view.all},
                   {"finished", view.finished}};
    if (view.now)
      j["now"] = {{"step", view.now->step.text}, {"units", view.now->units}, {"in_hand", view.now->in_hand}};
    j["timers"] = ordered_json::array();
    for (const auto& t : view.waiting) {
      j["timers"].push_back({{"id", t.id},
                             {"units", t.units},
                             {"phase", record::word(t.phase)},
                             {"until_ready_s", t.until_ready_s},
                             {"sounds", t.sounds}});
      if (t.until_late_s) j["timers"].back()["until_late_s"] = *t.until_late_s;
    }
    if (!d.trouble.empty()) j["trouble"] = d.trouble.front().text;
    return dumped(j);
  });
  answer.type = "application/json";
  return answer;
}

/// Copied into a file of its own beside nothing: a temporary one, read and removed.
Answer Routes::export_file() {
  std::string name = (std::filesystem::temp_directory_path() / "handlot-export-XXXXXX").string();
  if (!mkdtemp(name.data())) return text_answer(507, "there is no room for the copy\n");
  const std::filesystem::path folder = name;
  const auto done = shop_.export_to(folder / "record.db");
  Answer answer = text_answer(507, "the copy could not be made\n");
  if (done) {
    std::ifstream in(folder / "record.db", std::ios::binary);
    answer = {200,
              "application/vnd.sqlite3",
              std::string(std::istreambuf_iterator<char>(in), {}),
              {{"Content-Disposition", "attachment; filename=\"record.handlot\""}},
              ""};
  }
  std::error_code ignored;
  std::filesystem::remove_all(folder, ignored);
  return answer;
}

Answer Routes::write(const Request& request) {
  if (request.path == "/pair") {
    Answer answer = access_.pair(request, shop_.now().wall_ms);
    if (answer.status != 303) {
      answer.body = pair_page("", answer.body);
      answer.type = "text/html; charset=utf-8";
    }
    return answer;
  }
  if (request.path != "/do" && request.path != "/photo") return missing();
  if (auto refused = refuse_stranger(request)) return *refused;
  return request.path == "/do" ? do_form(request) : do_photo(request);
}

/// A page that was left open may be of the lot before: what is touched there is not of this record.
std::optional<Answer> Routes::refuse_stranger(const Request& request) {
  const std::string record = request.field("record");
  if (record.empty() || shop_.is_named(record)) return std::nullopt;
  return refusal(request, {error("bench-other-record", {}, "this was touched on the page of another record",
                                 "reload the page; start the bench of that lot for what is kept of it")});
}

Answer Routes::do_form(const Request& request) {
  bool known = false;
  Answer answer = special(request, known);
  if (known) return answer;
  Result<std::vector<Event>> lines;
  Request plain = request;
  if (request.field("act") == "away") {
    const auto hours = read_value(request.field("hours"));
    if (!hours) return refusal(request, hours.error());
    if (*hours <= 0 || *hours > kLongestAway)
      return refusal(request, {error("bench-form", {}, fmt::format("'{}' is no number of hours above 0, and up to a year", request.field("hours").substr(0, 40)), "write for how many hours it cannot be had; what is back is struck through, or said so at the top of Now")});
    plain.fields["value"] = fmt::format("{:.0f}", *hours * 3600);
  }
  shop_.look(
      [&](const Glimpse& g) { lines = lines_of_form(plain, access_.label_of(request), g.state, g.lines); });
  if (!lines) return refusal(request, lines.error());
  const auto done = shop_.submit(std::move(*lines));
  if (done && !done->already && can_replan_ && request.field("act") == "away") plan_without();
  return written(request, done);
}

/// The report is written whatever comes of it; a plan that cannot be made is asked for on the page, and says why there.
void Routes::plan_without() {
  if (shop_.propose()) wire_.publish("data: {\"t\":\"look\"}\n\n");
}

/// What is not a line of its own kind.
Answer Routes::special(const Request& request, bool& known) {
  const std::string act = request.field("act");
  known = true;
  if (act == "replan") {
    auto made = shop_.propose();
    if (!made) return refusal(request, made.error());
    wire_.publish("data: {\"t\":\"look\"}\n\n");
    return written(request, Written{shop_.seq(), false});
  }
  if (act == "take-plan")
    return written(
        request, shop_.take_proposal(request.field("item"), request.field("id"), access_.label_of(request)));
  if (act == "plan-holds") return plan_holds(request);
  if (act == "renew-codes") {
    access_.renew_codes();
    return written(request, Written{shop_.seq(), false});
  }
  if (act == "withdraw") {
    if (const auto key = access_.withdraw(request.field("item"))) wire_.close_live(*key);
    return written(request, Written{shop_.seq(), false});
  }
  known = false;
  return {};
}

Answer Routes::plan_holds(const Request& request) {
  std::vector<Event> lines;
  shop_.look([&](const Glimpse& g) {
    for (int n = 1; n <= g.state.lot; ++n) {
      if (!request.fields.count(fmt::format("u{}", n))) continue;
      Event line;
      line.id = fmt::format("{}.{}", request.field("id"), n);
      line.kind = Kind::plan;
      line.unit = n;
      line.item = g.plan.head.hash;
      line.text = g.plan.head.revision;
      line.screen = access_.label_of(request);
      lines.push_back(line);
    }
  });
  if (lines.empty())
    return refusal(request, {error("bench-form", {}, "no unit was chosen",
                                   "tick the units that the new plan holds for")});
  return written(request, shop_.submit(std::move(lines)));
}

Answer Routes::do_photo(const Request& request) {
  const std::string type = image_type(request.body);
  if (type.empty())
    return refusal(request,
                   {error("bench-photo", {}, "that is no JPEG, PNG or WebP picture", "choose a photo")});
  record::Photo photo{sha256_hex(request.body), type, request.body};
  Event line;
  line.id = request.field("id");
  line.kind = Kind::photo;
  line.step = StepId(request.field("step"));
  line.item = photo.name;
  line.screen = access_.label_of(request);
  const auto units = read_units(request.field("unit").empty() ? "0" : request.field("unit"),
                                shop_.look([](const Glimpse& g) { return g.state.lot; }));
  if (!units) return refusal(request, units.error());
  line.unit = units->front();
  return written(request, shop_.submit({line}, {std::move(photo)}));
}

Answer Routes::written(const Request& request, const Result<Written>& result) {
  if (!result) return refusal(request, result.error());
  if (!request.wants_json()) return see_other(safe_back(request.field("back")));
  return {200,
          "application/json",
          dumped({{"ok", true}, {"seq", result->seq}, {"already", result->already}}),
          {},
          ""};
}

Answer Routes::refusal(const Request& request, const Diagnostics& why) {
  const bool insist = may_insist(request, why);
  const int status = status_of(why);
  if (!request.wants_json()) {
    Answer answer = with_desk(request, [&](const Desk& d) { return refusal_page(d, why, request, insist); });
    answer.status = status;
    return answer;
  }
  ordered_json j{{"ok", false}, {"insist", insist}, {"later", status == 507}};
  j["why"] = ordered_json::array();
  for (const auto& d : why) j["why"].push_back({{"code", d.code}, {"text", d.text}, {"mend", d.mend}});
  return {status, "application/json", dumped(j), {}, ""};
}

}  // namespace handlot::bench
