#include "job/read_gaps.h"

#include <fmt/format.h>

#include <cmath>

namespace handlot::job {

using input::Element;
using input::Take;

namespace {

/// The first of `words` as numbers; empty when one is none.
std::optional<std::array<double, 3>> three_of(const std::vector<std::string>& words) {
  std::array<double, 3> read{};
  for (std::size_t i = 0; i < 3; ++i) {
    try {
      std::size_t used = 0;
      read[i] = std::stod(words[i], &used);
      if (used != words[i].size() || !(std::abs(read[i]) < 1e5)) return std::nullopt;
    } catch (const std::exception&) {
      return std::nullopt;
    }
  }
  return read;
}

constexpr input::Range kSmall{-10, 10};  // mm, of plays and errors

Cable::Opened opened(const Element& element, Diagnostics& faults) {
  Take take(element, faults);
  Cable::Opened o;
  o.place = take.place();
  o.part = PartId(take.id("part"));
  read_three(take, "by", "mm", o.by_mm);
  read_three(take, "turn", "deg", o.turn_deg);
  read_three(take, "about", "mm", o.about_mm);
  o.step = StepId(take.text_or("step", ""));
  take.finish();
  return o;
}

}  // namespace

void read_direction(Take& take, const char* attribute, std::array<double, 3>& into) {
  const std::vector<std::string> words = take.words(attribute);
  if (words.empty()) return;
  if (words.size() == 1) {
    for (const auto& [word, axis] : {std::pair<const char*, std::array<double, 3>>{"x", {1, 0, 0}}, {"y", {0, 1, 0}}, {"z", {0, 0, 1}}}) {
      const bool back = words[0] == std::string("-") + word;
      if (words[0] != word && words[0] != std::string("+") + word && !back) continue;
      into = back ? std::array<double, 3>{-axis[0], -axis[1], -axis[2]} : axis;
      return;
    }
  } else if (words.size() == 3) {
    const auto read = three_of(words);
    if (read && std::hypot((*read)[0], (*read)[1], (*read)[2]) > 1e-9) {
      into = *read;
      return;
    }
  }
  take.fault("direction-bad", take.place_of(attribute), fmt::format("'{}' is not a direction", attribute), fmt::format("write {}=\"-z\", or three numbers as in \"0 0.5 1\"", attribute));
}

void read_three(Take& take, const char* attribute, const std::string& unit, std::array<double, 3>& into) {
  const std::vector<std::string> words = take.words(attribute);
  if (words.empty()) return;
  const auto read = words.size() == 4 && words[3] == unit ? three_of(words) : std::nullopt;
  if (read) {
    into = *read;
  } else {
    take.fault("place-bad", take.place_of(attribute), fmt::format("'{}' is not three numbers and '{}'", attribute, unit),
               fmt::format("write {}=\"0 0 12.5 {}\"", attribute, unit));
  }
}

Cable read_cable(const Element& element, Diagnostics& faults) {
  Take take(element, faults);
  Cable c;
  c.place = take.place();
  c.part = PartId(take.id("part"));
  c.length = take.amount<Millimetres>("length");
  c.closed_path = take.amount<Millimetres>("closed-path");
  c.service_path = take.amount<Millimetres>("service-path");
  c.bend_radius = take.amount<Millimetres>("tightest-bend");
  c.slack = take.amount<Millimetres>("slack");
  for (const Element& e : take.children("way")) {
    Take w(e, faults);
    Cable::Point point;
    if (!w.has("at")) w.text("at");
    read_three(w, "at", "mm", point.at_mm);
    point.of = PartId(w.text_or("of", ""));
    w.finish();
    if (!c.way.empty() && c.way.back().at_mm == point.at_mm) {
      w.fault("cable-way", w.place(), "the cable's way stands still here", "take this <way> out, or correct its place");
    }
    c.way.push_back(point);
  }
  for (const Element& e : take.children("opened")) c.opened.push_back(opened(e, faults));
  if (c.way.size() == 1) take.fault("cable-way", take.place(), "a cable's way has two ends at least", "add a <way at=\"...\"/> for the other end");
  if (!c.opened.empty() && c.way.empty()) take.fault("cable-way", take.place(), "what is opened pulls on a way, and the cable has none", "add <way at=\"...\" of=\"...\"/> from end to end");
  take.finish();
  return c;
}

Clearance read_clearance(const Element& element, Diagnostics& faults) {
  Take take(element, faults);
  Clearance c;
  c.place = take.place();
  const std::vector<std::string> between = take.words("between");
  if (between.size() == 2) {
    c.a = PartId(between[0]);
    c.b = PartId(between[1]);
  } else {
    take.fault("clearance-between", take.place(), "a clearance is between two parts", "write between=\"one-part other-part\"");
  }
  c.least = take.must<Millimetres>("least");
  c.measured = take.amount<Millimetres>("measured");
  c.measured_error = take.amount<Millimetres>("error", kSmall);
  for (const Element& e : take.children("through")) {
    Take t(e, faults);
    Clearance::Through through;
    through.place = t.place();
    through.part = PartId(t.id("part"));
    through.size = t.amount<Millimetres>("size");
    through.measured = t.amount<Millimetres>("measured");
    through.measured_error = t.amount<Millimetres>("error", kSmall);
    through.wider = t.word_of("makes", {"wider", "narrower"}, "wider") == "wider";
    if (through.measured && !through.size) t.fault("attribute-missing", t.place(), "a measured size needs the size that was drawn", "add size=\"...\"");
    t.finish();
    c.through.push_back(std::move(through));
  }
  take.finish();
  return c;
}

Fit read_fit(const Element& element, Diagnostics& faults) {
  Take take(element, faults);
  Fit f;
  f.place = take.place();
  f.hole = PartId(take.id("hole"));
  f.shaft = PartId(take.id("shaft"));
  f.tolerance_class = take.text_or("class", "");
  if (const auto play = take.canonical("play", input::Dimension::length, kSmall)) {
    f.least = Millimetres(play->low);
    f.most = Millimetres(play->high);
  }
  f.hole_measured = take.amount<Millimetres>("hole-measured");
  f.shaft_measured = take.amount<Millimetres>("shaft-measured");
  f.measured_error = take.amount<Millimetres>("error", kSmall);
  if (f.tolerance_class.empty() != take.has("play")) {
    take.fault("fit-unsaid", take.place(), "a fit is said by its class or by its play", "write class=\"H7/g6\", or play=\"0.02..0.1 mm\"");
  }
  take.finish();
  return f;
}

ToolUse read_tool(const Element& element, Diagnostics& faults) {
  Take take(element, faults);
  ToolUse t;
  t.card = CardId(take.text_or("card", ""));
  t.name = take.text_or("name", "");
  t.setting = take.text_or("setting", "");
  t.place = take.place();
  if (t.card.empty() && t.name.empty()) take.fault("attribute-missing", take.place(), "<tool> has neither 'card' nor 'name'", "add card=\"...\" or name=\"...\"");
  if (take.has("at")) {
    t.at_mm.emplace();
    read_three(take, "at", "mm", *t.at_mm);
  }
  read_direction(take, "along", t.along);
  if (take.has("along") && !t.at_mm) take.fault("attribute-missing", take.place(), "'along' needs the place where the tool works", "add at=\"0 0 12.5 mm\"");
  take.finish();
  return t;
}

}  // namespace handlot::job
