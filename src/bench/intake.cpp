#include "bench/intake.h"

#include <algorithm>
#include <charconv>
#include <cmath>

#include <fmt/format.h>

#include "record/meant.h"

namespace handlot::bench {
namespace {

using record::Event;
using record::Kind;

/// Below this a touch came in at once: a busy network takes as long [practice].
constexpr double kKeptFrom = 3;  // seconds

auto wrong(std::string text, std::string mend) {
  return fail(error("bench-form", {}, std::move(text), std::move(mend)));
}

std::optional<int> read_int(std::string_view text) {
  int out = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), out);
  if (fault != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return out;
}

/// The lines of one touch share what stands before the dot.
std::string touch_of(const std::string& id) {
  return id.substr(0, id.find('.'));
}

/// Undo strikes every line of the touch, newest first.
std::vector<Event> undo(const Request& request, const std::string& screen, const record::State& state,
                        const std::vector<Event>& lines) {
  std::vector<Event> out;
  const std::string touch = touch_of(request.field("target"));
  for (auto line = lines.rbegin(); line != lines.rend() && out.size() < 200; ++line) {
    if (touch_of(line->id) != touch || state.struck.count(line->id)) continue;
    Event strike;
    strike.id = fmt::format("{}.{}", request.field("id"), out.size() + 1);
    strike.kind = Kind::correction;
    strike.item = "undo";
    strike.text = "undone within 10 s";
    strike.target = line->id;
    strike.screen = screen;
    out.push_back(strike);
  }
  return out;
}

/// The lines of the pass are struck through, and others stand in for them: nothing is changed.
Result<std::vector<Event>> of_another_unit(const Request& request, const std::string& screen, const record::State& state, const std::vector<Event>& lines) {
  std::vector<Event> out;
  const std::string touch = request.field("id");
  std::copy_if(lines.begin(), lines.end(), std::back_inserter(out), [&](const Event& e) { return touch_of(e.id) == touch; });
  if (!out.empty()) return out;  // sent twice
  const auto units = read_units(request.field("unit"), state.lot);
  if (!units) return fail(units.error());
  const auto pass = record::pass_of(lines, state.struck, request.field("target"));
  if (pass.empty()) return wrong("that line is of no unit, or is struck through already", "reload the page");
  if (units->size() != 1 || units->front() == 0 || units->front() == pass.front().unit) return wrong("that is no other unit", "choose the unit that it was");
  const auto add = [&](Event line) {
    line.id = fmt::format("{}.{}", touch, out.size() + 1);
    line.screen = screen;
    out.push_back(std::move(line));
  };
  for (const Event& line : pass) {
    Event strike;
    strike.kind = Kind::correction;
    strike.text = record::is_blank(request.field("text")) ? "" : fmt::format("it was unit {}: {}", units->front(), request.field("text"));
    strike.target = line.id;
    add(strike);
  }
  for (Event line : pass) {
    line.target = line.id;
    line.unit = units->front();
    add(line);
  }
  return out;
}

}  // namespace

Result<std::vector<int>> read_units(const std::string& text, int lot) {
  std::vector<int> out;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find(',', at), text.size());
    const std::string one = text.substr(at, end - at);
    const std::size_t dash = one.find('-');
    const auto first = read_int(one.substr(0, dash));
    const auto last = dash == std::string::npos ? first : read_int(one.substr(dash + 1));
    if (!first || !last || *first < 0 || *last < *first || *last > std::max(lot, 0))
      return wrong(fmt::format("'{}' names no units of a lot of {}", text, lot), "write units like 1,2,5-7");
    for (int n = *first; n <= *last; ++n) out.push_back(n);
    at = end + 1;
  }
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

Result<double> read_value(const std::string& text) {
  std::string plain = text;
  plain.erase(std::remove(plain.begin(), plain.end(), ' '), plain.end());
  const auto commas = std::count(plain.begin(), plain.end(), ',');
  if (commas == 1 && plain.find('.') == std::string::npos) std::replace(plain.begin(), plain.end(), ',', '.');
  if (!plain.empty() && plain.front() == '+') plain.erase(0, 1);
  double out = 0;
  const auto [end, fault] =
      std::from_chars(plain.data(), plain.data() + plain.size(), out, std::chars_format::fixed);
  if (plain.empty() || fault != std::errc{} || end != plain.data() + plain.size() || !std::isfinite(out))
    return wrong(fmt::format("'{}' is not a number", text.substr(0, 40)), "write a number like 20.5");
  return out;
}

std::string safe_back(const std::string& path) {
  const bool plain = std::all_of(path.begin(), path.end(), [](char c) {
    return static_cast<unsigned char>(c) > 0x20 && c != '\\' && c != 0x7f;
  });
  return plain && path.size() > 1 && path[0] == '/' && path[1] != '/' ? path : "/";
}

Result<std::vector<Event>> lines_of_form(const Request& request, const std::string& screen,
                                         const record::State& state, const std::vector<Event>& lines) {
  const std::string act = request.field("act");
  if (act == "undo") {
    auto out = undo(request, screen, state, lines);
    if (out.empty()) return wrong("there is nothing to undo", "reload the page");
    return out;
  }
  if (act == "other-unit") return of_another_unit(request, screen, state, lines);
  Event line;
  line.id = request.field("id");
  const auto kind = record::kind_of(act == "correct" ? "correction" : act);
  if (!kind || *kind == Kind::clock || *kind == Kind::plan || *kind == Kind::photo)
    return wrong(fmt::format("'{}' is nothing that can be written here", act.substr(0, 40)),
                 "reload the page");
  line.kind = *kind;
  line.step = StepId(request.field("step"));
  line.item = request.field("item");
  line.text = record::is_blank(request.field("text")) ? "" : request.field("text");
  if (act == "correct") line.target = request.field("target");
  line.screen = screen;
  if (act == "correct" && line.item == "undo") line.item.clear();
  if (record::may_be_kept(line.kind)) {
    if (const auto age = read_value(request.field("age")); age && *age >= kKeptFrom) line.value = *age;
  } else if (const auto value = request.field("value"); !value.empty()) {
    const auto number = read_value(value);
    if (!number) return fail(number.error());
    line.value = *number;
  }
  const std::string units = request.fields.count("units") ? request.field("units") : request.field("unit");
  const auto numbers = read_units(units.empty() ? "0" : units, state.lot);
  if (!numbers) return fail(numbers.error());
  std::vector<Event> out;
  for (const int n : *numbers) {
    Event one = line;
    one.unit = n;
    if (numbers->size() > 1) one.id = fmt::format("{}.{}", line.id, out.size() + 1);
    out.push_back(one);
  }
  return out;
}

}  // namespace handlot::bench
