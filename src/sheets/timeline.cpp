#include "sheets/timeline.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>
#include <set>

#include "sheets/sections.h"
#include "sheets/svg_text.h"
#include "sheets/wrap.h"

namespace handlot::sheets {

namespace {

constexpr double kWide = 518, kLabel = 82, kRow = 20, kLane = 15,
                 kAxis = 22;  // as printed: 1 unit is 1 point
constexpr double kLeastBar = 1.2;
constexpr std::size_t kClocksApart = 3;  // more sub-batches than this share one line of a clock

struct Span {
  Instant from, to;
};

struct Bar {
  Span span;
  std::string label{};
  std::optional<Instant> latest{};  ///< of a clock
  std::string text{};               ///< of a clock, at the first bar of a day: what stands at `text_x`
  double text_x = 0;
  bool over_bars = false;  ///< `text` found no free room
};

/// One clock, or that of many sub-batches: it rests between them.
struct Clocks {
  std::string label;        ///< "70→80 oil soaks in"
  std::string short_label;  ///< "70→80", where the label does not fit
  std::vector<Bar> bars;    ///< apart, in turn
};

struct Row {
  std::string name;
  enum class Kind { hands, taken, clock } kind = Kind::hands;
  std::vector<Bar> bars;
};

bool meet(const Span& a, const Span& b) {
  return a.from < b.to && b.from < a.to;
}

/// One day of the drawing and how its hours lie on the paper.
struct Day {
  Span span;
  std::string name;
  double x(Instant at) const {
    const double share = static_cast<double>((std::clamp(at, span.from, span.to) - span.from).seconds) /
                         static_cast<double>((span.to - span.from).seconds);
    return kLabel + share * (kWide - kLabel);
  }
};

Instant floor_hour(Instant at) {
  return Instant(at.seconds - (at.seconds % 3600 + 3600) % 3600);
}

/// From the first to the last thing somebody does that day, and the shop hours of the day.
std::vector<Day> days_of(const View& view) {
  std::map<Instant, Span> days;
  const auto stretch = [&](Instant from, Instant to) {
    const Instant begin = view.clock().midnight(from), end = view.clock().next_midnight(from);
    auto [found, fresh] = days.try_emplace(begin, Span{from, std::min(to, end)});
    found->second.from = std::min(found->second.from, from);
    found->second.to = std::max(found->second.to, std::min(to, end));
  };
  for (const auto& op : view.plan().schedule.operations)
    stretch(op.start, std::max(op.end, op.start + hours(1)));
  for (const auto& open : view.plan().work.hours) {
    if (days.contains(view.clock().midnight(open.open))) stretch(open.open, open.close);
  }
  std::vector<Day> out;
  for (const auto& [begin, span] : days) {
    const Instant from = std::max(begin, floor_hour(span.from));
    const Instant to = std::min(view.clock().next_midnight(begin), floor_hour(span.to + Duration(3599)));
    out.push_back({{from, std::max(to, from + hours(1))}, view.clock().day(begin)});
  }
  return out;
}

/// The parts of a span that lie in shop hours; all of it when the plan knows no hours.
std::vector<Span> open_parts(const std::vector<plan::Interval>& hours, const Span& span) {
  if (hours.empty()) return {span};
  std::vector<Span> out;
  const auto first = std::lower_bound(hours.begin(), hours.end(), span.from,
                                      [](const auto& h, Instant at) { return h.close <= at; });
  for (auto hour = first; hour != hours.end() && hour->open < span.to; ++hour) {
    out.push_back({std::max(span.from, hour->open), std::min(span.to, hour->close)});
  }
  return out;
}

/// Until when the operation keeps a resource.
Instant kept_until(const View& view, const plan::Operation& op, const plan::Use& use) {
  Instant until = op.end + use.hold_after_end;
  if (!use.until_start_of) return until;
  for (const auto* later : view.operations(*use.until_start_of)) {
    if (later->first_unit <= op.last_unit && later->last_unit >= op.first_unit)
      until = std::max(until, later->start);
  }
  return until;
}

void add_bar(Row& row, const Span& span, const std::string& label) {
  if (!row.bars.empty()) {
    Bar& last = row.bars.back();
    if (last.label == label && span.from >= last.span.from && span.from - last.span.to <= minutes(1)) {
      last.span.to = std::max(last.span.to, span.to);  // a run of single units reads as one bar
      return;
    }
  }
  row.bars.push_back({.span = span, .label = label});
}

std::vector<const plan::Operation*> by_start(const View& view) {
  std::vector<const plan::Operation*> ops;
  for (const auto& op : view.plan().schedule.operations) ops.push_back(&op);
  std::stable_sort(ops.begin(), ops.end(), [](const auto* a, const auto* b) { return a->start < b->start; });
  return ops;
}

std::vector<Row> resource_rows(const View& view) {
  std::vector<Row> rows;
  std::map<ResourceId, std::size_t> index;
  for (const auto& r : view.plan().work.resources) {
    index[r.id] = rows.size();
    const bool person = r.kind == plan::Resource::Kind::person;
    rows.push_back({view.resource(r.id), person ? Row::Kind::hands : Row::Kind::taken, {}});
  }
  for (const auto* op : by_start(view)) {
    const std::string label = view.number(op->step);
    for (const auto& person : op->people) {
      if (!index.contains(person)) continue;
      for (const Span& part : open_parts(view.plan().work.hours, {op->start, op->hands_end}))
        add_bar(rows[index[person]], part, label);
    }
    for (const auto& use : op->uses) {
      if (index.contains(use.resource))
        add_bar(rows[index[use.resource]], {op->start, kept_until(view, *op, use)}, label);
    }
  }
  return rows;
}

/// When the step that the clock waits for is done with the units of `op`, as planned; of all units where the clock runs once for the lot.
std::optional<Instant> met_at(const View& view, const plan::Wait& wait, const plan::Operation& op) {
  std::optional<Instant> met;
  for (const auto* later : view.operations(wait.to.step)) {
    if (wait.scope != plan::Scope::lot && (later->first_unit > op.last_unit || later->last_unit < op.first_unit)) continue;
    const Instant at = wait.to.edge == plan::Edge::start ? later->start : later->end;
    met = std::max(met.value_or(at), at);
  }
  return met;
}

Bar clock_bar(const View& view, const plan::Wait& wait, const plan::Operation& op) {
  const Instant from = wait.from.edge == plan::Edge::start ? op.start : op.end;
  Bar bar{.span = {from, from + std::max(wait.min, Duration(60))}};
  bar.latest = latest_end(wait, from);
  // With a latest end only, nobody watches the clock any more when its step is done.
  if (bar.latest && wait.min.seconds <= 0)
    bar.span.to = std::max(bar.span.to, std::min(*bar.latest, met_at(view, wait, op).value_or(*bar.latest)));
  return bar;
}

/// Bars that meet, or all of them where the clock runs once for the lot, are one.
std::vector<Bar> joined(std::vector<Bar> bars, bool all) {
  std::stable_sort(bars.begin(), bars.end(), [](const Bar& a, const Bar& b) { return a.span.from < b.span.from; });
  std::vector<Bar> out;
  for (auto& bar : bars) {
    if (out.empty() || (!all && bar.span.from > out.back().span.to)) {
      out.push_back(std::move(bar));
      continue;
    }
    out.back().span.to = std::max(out.back().span.to, bar.span.to);
    if (bar.latest) out.back().latest = std::min(out.back().latest.value_or(*bar.latest), *bar.latest);
  }
  return out;
}

std::vector<Clocks> clocks_of(const View& view, const plan::Wait& wait) {
  const std::string steps = view.number(wait.from.step) + "→" + view.number(wait.to.step);
  std::vector<Bar> bars;
  for (const auto* op : view.operations(wait.from.step)) bars.push_back(clock_bar(view, wait, *op));
  const bool once = wait.scope == plan::Scope::lot;
  std::vector<Clocks> out;
  if (once || bars.size() > kClocksApart) return {{steps + " " + wait.what, steps, joined(std::move(bars), once)}};
  for (auto& bar : bars) out.push_back({steps + " " + wait.what, steps, {std::move(bar)}});
  return out;
}

constexpr double kClockType = 8;

/// What stands at a clock's bars, and the room that bars and text take together.
struct ClockLabel {
  std::string text;
  double x = 0;
  double from = 0, to = 0;
  bool over_bars = false;
};

/// A bar as it lies on the paper of a day.
struct Drawn {
  double from, to;               ///< with the mark of its latest end
  std::optional<double> latest;  ///< where that is on this day
  double room() const { return latest.value_or(to) - from - 14; }
};

std::vector<Drawn> drawn(const Clocks& clocks, const Day& day) {
  std::vector<Drawn> out;
  for (const Bar& bar : clocks.bars) {
    Drawn one{day.x(bar.span.from), day.x(bar.span.to), {}};
    one.to = std::max(one.to, one.from + kLeastBar);
    if (bar.latest && *bar.latest >= day.span.from && *bar.latest <= day.span.to) {
      one.latest = std::min(one.to, day.x(*bar.latest));
      one.to = std::max(one.to, day.x(*bar.latest));
    }
    out.push_back(one);
  }
  return out;
}

/// All of it inside a bar where it fits, else the numbers: inside, behind the last bar, before the first, in a gap, behind the latest end.
ClockLabel label_of(const Clocks& clocks, const Day& day) {
  const std::vector<Drawn> bars = drawn(clocks, day);
  // The latest end of a bar may lie behind the bars that follow.
  const double from = bars.front().from, to = std::max_element(bars.begin(), bars.end(), [](const Drawn& a, const Drawn& b) { return a.to < b.to; })->to;
  const double whole = text_width(clocks.label, kClockType), wide = text_width(clocks.short_label, kClockType);
  const auto roomiest = std::max_element(bars.begin(), bars.end(), [](const Drawn& a, const Drawn& b) { return a.room() < b.room(); });
  const double room = roomiest->room(), inside = roomiest->from + 3;
  if (whole <= room) return {clocks.label, inside, from, to};
  if (wide + 30 <= room) return {shortened(clocks.label, kClockType, room), inside, from, to};
  if (wide <= room) return {clocks.short_label, inside, from, to};
  if (to + wide + 6 <= kWide) return {clocks.short_label, to + 4, from, to + 4 + wide};
  if (from - wide - 3 >= kLabel) return {clocks.short_label, from - wide - 3, from - wide - 3, to};
  for (std::size_t i = 0; i + 1 < bars.size(); ++i) {
    if (bars[i + 1].from - bars[i].to >= wide + 8) return {clocks.short_label, bars[i].to + 4, from, to};
  }
  for (const Drawn& bar : bars) {
    if (bar.latest && bar.to - *bar.latest >= wide + 14) return {clocks.short_label, *bar.latest + 4, from, to};
  }
  return {clocks.short_label, from + 3, from, std::max(to, from + 3 + wide), true};
}

std::vector<Clocks> clocks_of(const View& view) {
  std::vector<Clocks> out;
  for (const auto& wait : view.plan().waits) {
    for (auto& clocks : clocks_of(view, wait)) out.push_back(std::move(clocks));
  }
  return out;
}

/// The clocks that run on a day, with what of them does.
std::vector<Clocks> clocks_on(const std::vector<Clocks>& all, const Day& day) {
  std::vector<Clocks> out;
  for (const Clocks& clocks : all) {
    Clocks today{clocks.label, clocks.short_label, {}};
    for (const Bar& bar : clocks.bars) {
      if (meet(bar.span, day.span)) today.bars.push_back(bar);
    }
    if (!today.bars.empty()) out.push_back(std::move(today));
  }
  std::stable_sort(out.begin(), out.end(), [](const Clocks& a, const Clocks& b) { return a.bars.front().span.from < b.bars.front().span.from; });
  return out;
}

/// Clocks side by side in as few lanes as hold them.
std::vector<Row> clock_rows(const std::vector<Clocks>& all, const Day& day) {
  std::vector<Row> lanes;
  std::vector<double> taken_to;
  for (auto& clocks : clocks_on(all, day)) {
    const ClockLabel label = label_of(clocks, day);
    Bar& first = clocks.bars.front();
    first.text = label.text;
    first.text_x = label.x;
    first.over_bars = label.over_bars;
    std::size_t lane = 0;
    while (lane < lanes.size() && taken_to[lane] > label.from) ++lane;
    if (lane == lanes.size()) {
      lanes.push_back({"", Row::Kind::clock, {}});
      taken_to.push_back(0);
    }
    lanes[lane].bars.insert(lanes[lane].bars.end(), clocks.bars.begin(), clocks.bars.end());
    taken_to[lane] = label.to + 6;
  }
  if (!lanes.empty()) lanes.front().name = "clocks";
  return lanes;
}

/// The name of a row in its column: in one line, else smaller in two or three, broken at words.
std::string row_name(std::string_view name, double y, double high) {
  constexpr double kRoom = kLabel - 6;
  struct Set {
    double size;
    std::size_t lines;
  };
  constexpr std::array<Set, 4> kSets{{{9.5, 1}, {8, 2}, {7, 3}, {5, 3}}};
  std::vector<std::string> lines;
  double size = 0;
  for (const Set& set : kSets) {
    size = set.size;
    lines = wrapped(name, static_cast<std::size_t>(kRoom / text_width("m", size)));
    const bool fits = std::all_of(lines.begin(), lines.end(), [&](const auto& line) { return text_width(line, size) <= kRoom; });
    if (fits && lines.size() <= set.lines) break;
  }
  if (lines.size() > kSets.back().lines) {
    lines.resize(kSets.back().lines);
    lines.back() += "..";
  }
  std::string out;
  double base = y + (high - size * static_cast<double>(lines.size() - 1)) / 2 + 1;
  for (const auto& line : lines) {
    out += svg_text(0, base, size, shortened(line, size, kRoom));
    base += size;
  }
  return out;
}

std::string axis(const View& view, const Day& day, double high) {
  const auto span_hours = (day.span.to - day.span.from).seconds / 3600;
  const std::int64_t every = span_hours > 30 ? 4 : span_hours > 15 ? 2 : 1;
  std::string out;
  for (Instant at = day.span.from; at <= day.span.to; at = at + hours(every)) {
    const double x = day.x(at);
    out += fmt::format(R"(<path d="M{:.1f} {:.1f}V{:.1f}" stroke="#999" stroke-width=".5"/>)", x, kAxis - 4,
                       high);
    if (x < kWide - 20) out += svg_text(x + 1.5, kAxis - 6, 7.5, view.clock().time(at));
  }
  return out;
}

std::string closed_hours(const View& view, const Day& day, double high) {
  if (view.plan().work.hours.empty()) return "";
  std::string out;
  Instant from = day.span.from;
  auto shade = [&](Instant a, Instant b) {
    if (a < b)
      out += fmt::format(R"(<rect x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}" fill="#e4e4e4"/>)",
                         day.x(a), kAxis, day.x(b) - day.x(a), high - kAxis);
  };
  for (const Span& open : open_parts(view.plan().work.hours, day.span)) {
    shade(from, open.from);
    from = open.to;
  }
  shade(from, day.span.to);
  return out;
}

std::string bar_svg(const Bar& bar, Row::Kind kind, const Day& day, double y, double& label_free_from) {
  const double from = day.x(bar.span.from), to = std::max(day.x(bar.span.to), from + kLeastBar);
  const double high = kind == Row::Kind::clock ? kLane - 4 : kRow - 5;
  const char* fill = kind == Row::Kind::hands ? "#000" : kind == Row::Kind::taken ? "#bbb" : "#fff";
  std::string out = fmt::format(
      R"(<rect x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}" fill="{}" stroke="{}" stroke-width=".8"/>)",
      from, y, to - from, high, fill, kind == Row::Kind::hands ? "#fff" : "#000");
  const double size = 9.5;
  const double wide = text_width(bar.label, size);
  if (kind == Row::Kind::clock) {
    if (bar.span.to > day.span.to)
      out +=
          fmt::format(R"(<path d="M{:.1f} {:.1f}l7 {:.1f}l-7 {:.1f}z"/>)", kWide - 8, y, high / 2, high / 2);
    if (bar.latest && *bar.latest >= day.span.from && *bar.latest <= day.span.to) {
      out += fmt::format(R"(<path d="M{:.1f} {:.1f}V{:.1f}" stroke="#000" stroke-width="3"/>)",
                         day.x(*bar.latest), y - 1.5, y + high + 1.5);
    }
  } else if (to - from > wide + 3) {
    out += svg_text((from + to - wide) / 2, y + high - 4, size, bar.label,
                    kind == Row::Kind::hands ? "#fff" : "#000", true);
  } else if (from >= label_free_from) {
    out += svg_text(from, y - 1, 7, bar.label);  // too narrow: the number stands above
    label_free_from = from + text_width(bar.label, 7) + 2;
  }
  return out;
}

/// What stands at the clocks of a lane: over its bars, so that none hides it.
std::string clock_texts(const Row& lane, double y) {
  constexpr double kHigh = kLane - 4;
  std::string out;
  for (const auto& bar : lane.bars) {
    if (bar.text.empty()) continue;
    if (bar.over_bars)
      out += fmt::format(R"(<rect x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}" fill="#fff"/>)", bar.text_x - 1, y + 1, text_width(bar.text, kClockType) + 2, kHigh - 2);
    out += svg_text(bar.text_x, y + kHigh - 2.6, kClockType, bar.text);
  }
  return out;
}

Drawing draw(const View& view, const Day& day, const std::vector<Row>& resources, const std::vector<Clocks>& clocks) {
  std::vector<Row> rows;
  for (const auto& row : resources) {
    Row today{row.name, row.kind, {}};
    for (const auto& bar : row.bars) {
      if (meet(bar.span, day.span)) today.bars.push_back(bar);
    }
    if (!today.bars.empty()) rows.push_back(std::move(today));
  }
  for (auto& lane : clock_rows(clocks, day)) rows.push_back(std::move(lane));
  double high = kAxis + 4;
  for (const auto& row : rows) high += row.kind == Row::Kind::clock ? kLane : kRow + 3;
  std::string body = closed_hours(view, day, high) + axis(view, day, high) +
                     svg_text(0, kAxis - 6, 10.5, day.name, "#000", true);
  double y = kAxis + 5;
  for (const auto& row : rows) {
    const double step = row.kind == Row::Kind::clock ? kLane : kRow + 3;
    if (!row.name.empty()) body += row_name(row.name, y, step);
    double free_from = 0;
    for (const auto& bar : row.bars) body += bar_svg(bar, row.kind, day, y, free_from);
    body += clock_texts(row, y);
    y += step;
  }
  body += fmt::format(R"(<path d="M0 {:.1f}H{}" stroke="#000" stroke-width=".8"/>)", high, kWide);
  return {
      fmt::format(
          R"(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {0} {1:.1f}" width="{0}" height="{1:.1f}">{2}</svg>)",
          kWide, high + 1, body),
      "Time line of " + day.name + ": who and what is busy when; the same times stand with the steps"};
}

}  // namespace

std::vector<Drawing> timeline(const View& view) {
  std::vector<Drawing> out;
  const auto resources = resource_rows(view);
  const auto clocks = clocks_of(view);
  for (const Day& day : days_of(view)) out.push_back(draw(view, day, resources, clocks));
  return out;
}

std::string timeline_key() {
  return "Black: hands at work. Grey bar: a station or fixture is taken. White bar: a clock runs; its end is the "
         "soonest moment to go on or, of a clock that has a latest end only, the planned one; "
         "a thick upright mark is the latest. An arrow: goes on another day. Grey ground: the shop is "
         "closed. Numbers are steps; 90→120 is the clock between the two.";
}

}  // namespace handlot::sheets
