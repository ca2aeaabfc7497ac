#include "reflow/plot.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "core/svg.h"
#include "core/text.h"

namespace handlot::reflow {

namespace {

constexpr double kMarginLeft = 14, kMarginRight = 34, kMarginTop = 16, kMarginBottom = 24;
constexpr double kSmall = 2.6, kNormal = 3.0, kLarge = 4.2;  // letters, mm
constexpr std::size_t kMostPoints = 1500;                    // of a curve: more cannot be seen

/// One dash pattern and weight for each board channel, so that grey print tells them apart.
constexpr std::array<const char*, 5> kDash{"none", "4 1.2", "1.4 1.2", "5 1 1 1", "2.6 2.6"};

struct Frame {
  double left, top, width, height;
  double t0, t1, c0, c1;
  double x(double t) const { return left + width * (t - t0) / (t1 - t0); }
  double y(double c) const { return top + height * (c1 - c) / (c1 - c0); }
};

Frame frame_for(const Log& log, const std::vector<Trace>& traces, const PasteWindow& paste,
                const PlotOptions& o) {
  double hot = paste.peak && paste.peak->high ? *paste.peak->high : paste.liquidus.value;
  for (const Trace& t : traces)
    if (!t.empty()) hot = std::max(hot, peak(t).temperature.value);
  if (o.predicted && !o.predicted->empty()) hot = std::max(hot, peak(*o.predicted).temperature.value);
  double end = log.seconds.empty() ? 1 : log.seconds.back();
  if (o.predicted && !o.predicted->empty()) end = std::max(end, o.predicted->seconds.back());
  const double start = log.seconds.empty() ? 0 : log.seconds.front();
  return {kMarginLeft,
          kMarginTop,
          o.width_mm - kMarginLeft - kMarginRight,
          o.height_mm - kMarginTop - kMarginBottom,
          start,
          std::max(end, start + 1),
          0,
          std::ceil((hot + 8) / 25) * 25};
}

/// Words cut to what fits in the width, between letters. `letter` is the mean width of one, of its height.
std::string fitted(const std::string& text, double width, double size, double letter = 0.58) {
  const auto most = static_cast<std::size_t>(std::max(4.0, width / (size * letter)));
  std::vector<std::size_t> starts;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if ((static_cast<unsigned char>(text[i]) & 0xC0) != 0x80) starts.push_back(i);
  }
  return starts.size() <= most ? text : text.substr(0, starts[most - 3]) + "...";
}

double round_step(double span, int wanted) {
  for (const double step : {10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1800.0, 3600.0}) {
    if (span / step <= wanted) return step;
  }
  return span / wanted;
}

void draw_axes(SvgPicture& svg, const Frame& f) {
  svg.leaf("rect", {{"x", svg_number(f.left)},
                    {"y", svg_number(f.top)},
                    {"width", svg_number(f.width)},
                    {"height", svg_number(f.height)},
                    {"fill", "white"},
                    {"stroke", "#333"},
                    {"stroke-width", "0.3"}});
  for (double c = 50; c <= f.c1; c += 50) {
    svg.line(f.left, f.y(c), f.left + f.width, f.y(c), "stroke:#ccc;stroke-width:0.15");
    svg.text(f.left - 1.5, f.y(c) + 1, number(c), kNormal, "end");
  }
  svg.text(f.left - 1.5, f.top - 2,
           "\xC2\xB0"
           "C",
           kNormal, "end");
  const double step = round_step(f.t1 - f.t0, 10);
  for (double t = std::ceil(f.t0 / step) * step; t <= f.t1; t += step) {
    svg.line(f.x(t), f.top + f.height, f.x(t), f.top + f.height + 1.2, "stroke:#333;stroke-width:0.3");
    svg.text(f.x(t), f.top + f.height + 4.6, number(t), kNormal, "middle");
  }
  svg.text(f.left + f.width + 1.5, f.top + f.height + 4.6, "s", kNormal);
}

/// The curve as one path; of more points than can be seen, lowest and highest of each slice are kept.
std::string path_of(const Trace& t, const Frame& f) {
  std::string d;
  const auto put = [&](std::size_t i) {
    d += fmt::format("{}{} {}", d.empty() ? "M" : " L", svg_number(f.x(t.seconds[i])),
                     svg_number(f.y(t.celsius[i])));
  };
  if (t.size() <= kMostPoints) {
    for (std::size_t i = 0; i < t.size(); ++i) put(i);
    return d;
  }
  const std::size_t slices = kMostPoints / 2;
  for (std::size_t s = 0; s < slices; ++s) {
    const auto from = t.celsius.begin() + static_cast<std::ptrdiff_t>(s * t.size() / slices);
    const auto to = t.celsius.begin() + static_cast<std::ptrdiff_t>((s + 1) * t.size() / slices);
    const auto [low, high] = std::minmax_element(from, to);
    const auto a = static_cast<std::size_t>(std::min(low, high) - t.celsius.begin());
    const auto b = static_cast<std::size_t>(std::max(low, high) - t.celsius.begin());
    put(a);
    if (b != a) put(b);
  }
  return d;
}

/// Words over lines: a white edge keeps them legible.
void label(SvgPicture& svg, double x, double y, const std::string& words, double size,
           std::string_view anchor) {
  svg.text(x, y, words, size, anchor,
           {{"stroke", "white"},
            {"stroke-width", "0.9"},
            {"paint-order", "stroke"},
            {"stroke-linejoin", "round"}});
}

/// Labels at the right edge, highest first, none nearer to the next than a line of letters.
class RightLabels {
 public:
  void add(double y, std::string words) { all_.emplace_back(y, std::move(words)); }

  void draw(SvgPicture& svg, const Frame& f) {
    constexpr double kApart = 3.3;
    std::stable_sort(all_.begin(), all_.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    const double right = f.left + f.width;
    double above = -1e9;
    for (const auto& [y, words] : all_) {
      const double at = std::max(y, above + kApart);
      above = at;
      if (at > y + 0.6)
        svg.line(right, y, right + 1.3, at - 0.2, "stroke:#777;stroke-width:0.15");
      svg.text(right + 1.6, at + 1, words, kSmall);
    }
  }

 private:
  std::vector<std::pair<double, std::string>> all_;
};

void draw_window(SvgPicture& svg, const Frame& f, const PasteWindow& paste) {
  const double right = f.left + f.width;
  RightLabels labels;
  if (paste.peak && paste.peak->low && paste.peak->high) {
    const double top = f.y(*paste.peak->high);
    svg.leaf("rect", {{"x", svg_number(f.left)},
                      {"y", svg_number(top)},
                      {"width", svg_number(f.width)},
                      {"height", svg_number(f.y(*paste.peak->low) - top)},
                      {"fill", "#e4e4e4"}});
    labels.add((top + f.y(*paste.peak->low)) / 2,
               fmt::format("peak {} to {}", number(*paste.peak->low), number(*paste.peak->high)));
  }
  svg.line(f.left, f.y(paste.liquidus.value), right, f.y(paste.liquidus.value),
           "stroke:#000;stroke-width:0.35;stroke-dasharray:0.6 0.8");
  labels.add(f.y(paste.liquidus.value), fmt::format("liquidus {}", number(paste.liquidus.value)));
  if (paste.soak) {
    for (const Celsius level : {paste.soak_from, paste.soak_to}) {
      svg.line(f.left, f.y(level.value), right, f.y(level.value),
               "stroke:#555;stroke-width:0.25;stroke-dasharray:2 1");
      labels.add(f.y(level.value), fmt::format("soak {}", number(level.value)));
    }
  }
  labels.draw(svg, f);
}

/// The four phases of the channel that decides, along the foot of the frame.
void draw_phases(SvgPicture& svg, const Frame& f, const Trace& t, const PasteWindow& paste) {
  const auto soak_start = first_reach(t, paste.soak_from), soak_end = first_reach(t, paste.soak_to);
  const auto melt = first_reach(t, paste.liquidus), solid = last_leave(t, paste.liquidus);
  const double y = f.top + f.height + 9;
  std::vector<std::pair<double, std::string>> marks{{f.t0, "heat"}};
  if (soak_start) marks.emplace_back(soak_start->value, "soak");
  if (soak_end && melt) marks.emplace_back(soak_end->value, "reflow");
  if (solid) marks.emplace_back(solid->value, "cool");
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const double from = f.x(marks[i].first);
    const double to = f.x(i + 1 < marks.size() ? marks[i + 1].first : t.seconds.back());
    if (to <= from) continue;
    svg.leaf("rect", {{"x", svg_number(from)},
                      {"y", svg_number(y)},
                      {"width", svg_number(to - from)},
                      {"height", "4.2"},
                      {"fill", i % 2 == 0 ? "white" : "#e4e4e4"},
                      {"stroke", "#333"},
                      {"stroke-width", "0.25"}});
    if (to - from > 9) svg.text((from + to) / 2, y + 3, marks[i].second, kNormal, "middle");
  }
}

void draw_crossings(SvgPicture& svg, const Frame& f, const Trace& t, const PasteWindow& paste) {
  for (const Crossing& c : settled_crossings(t, paste.liquidus)) {
    const double x = f.x(c.time.value), y = f.y(paste.liquidus.value);
    svg.leaf("circle", {{"cx", svg_number(x)},
                        {"cy", svg_number(y)},
                        {"r", "0.9"},
                        {"fill", "white"},
                        {"stroke", "#000"},
                        {"stroke-width", "0.35"}});
    label(svg, x + (c.up ? 1.6 : -1.6), y + 3.6, number(c.time.value, 1) + " s", kSmall,
          c.up ? "start" : "end");
  }
  const auto up = first_reach(t, paste.liquidus), down = last_leave(t, paste.liquidus);
  if (up && down && *down > *up) {
    label(svg, f.x((up->value + down->value) / 2), f.y(paste.liquidus.value) + 8,
          fmt::format("{} s above", number(time_above(t, paste.liquidus).value, 1)), kNormal, "middle");
  }
  const Peak top = peak(t);
  const double x = f.x(top.first.value), y = f.y(top.temperature.value);
  svg.leaf("path", {{"d", fmt::format("M{} {} l-1 -1.7 h2 z", svg_number(x), svg_number(y - 0.5))},
                    {"fill", "#000"}});
  label(svg, x, y - 3.4,
        fmt::format("{} \xC2\xB0"
                    "C",
                    number(top.temperature.value, 1)),
        kNormal, "middle");
}

void draw_slope(SvgPicture& svg, const Frame& f, const Trace& t, const Slope& slope) {
  const bool rises = slope.value.value > 0;
  const double middle = (slope.from.value + slope.to.value) / 2;
  const double y = f.y(at(t, Seconds(middle)).value);
  // Beside the curve, so that both can be seen, and within the frame.
  const double x = f.x(middle) + (rises ? -3.0 : 3.0);
  const double room = std::max(1.0, std::min({x - f.left, f.left + f.width - x, 9.0}));
  const double per_second = f.x(middle + 1) - f.x(middle);
  const double dy = (f.y(0) - f.y(slope.value.value)) * room / per_second;
  const double scale = std::min(1.0, 12 / std::max(1e-9, std::abs(dy)));
  svg.line(x - room * scale, y + dy * scale, x + room * scale, y - dy * scale,
           "stroke:#000;stroke-width:0.35");
  const std::string words = fmt::format("{}{} K/s", rises ? "+" : "", number(slope.value.value, 2));
  // Under the rise there is room to the right; beside the fall there is room to the right as well, or none.
  if (rises) return label(svg, f.x(middle) + 3, y + 4, words, kSmall, "start");
  const bool fits = x + 18 < f.left + f.width;
  label(svg, fits ? x + 2.5 : f.x(middle) - 4, fits ? y - 2 : y + 15, words, kSmall, fits ? "start" : "end");
}

void draw_predicted(SvgPicture& svg, const Frame& f, const PlotOptions& o) {
  if (!o.predicted || o.predicted->empty()) return;
  Trace low = *o.predicted, high = *o.predicted;
  for (double& c : low.celsius) c -= o.predicted_error.value;
  for (double& c : high.celsius) c += o.predicted_error.value;
  for (const Trace* edge : {&low, &high}) {
    if (o.predicted_error.value > 0)
      svg.leaf("path", {{"d", path_of(*edge, f)},
                        {"fill", "none"},
                        {"stroke", "#777"},
                        {"stroke-width", "0.2"},
                        {"stroke-dasharray", "0.8 0.8"}});
  }
  svg.leaf("path", {{"d", path_of(*o.predicted, f)},
                    {"fill", "none"},
                    {"stroke", "#000"},
                    {"stroke-width", "0.45"},
                    {"stroke-dasharray", "2.4 0.9 0.5 0.9"}});
}

struct Drawn {
  std::string label;
  double y;
  std::size_t dash;
  bool board;
};

void draw_key(SvgPicture& svg, const Frame& f, const PlotOptions& o, std::vector<Drawn> drawn) {
  double y0 = f.top + f.height + 17;
  double x = f.left;
  constexpr double kLetter = 0.58 * kSmall;
  for (Drawn& d : drawn) {
    d.label = fitted(d.label, 52, kSmall);
    const double takes = 14 + kLetter * static_cast<double>(d.label.size());
    if (x + takes > o.width_mm - 2 && x > f.left) x = f.left, y0 += 3.6;
    if (y0 > o.height_mm - 1) return;  // more curves than a reader tells apart
    svg.line(x, y0 - 1, x + 9, y0 - 1,
             fmt::format("stroke:{};stroke-width:{};stroke-dasharray:{}", d.board ? "#000" : "#888",
                         d.board ? 0.6 : 0.3, kDash[d.dash]));
    svg.text(x + 10, y0, d.label, kSmall);
    x += takes;
  }
  if (o.predicted) {
    svg.line(x, y0 - 1, x + 9, y0 - 1, "stroke:#000;stroke-width:0.45;stroke-dasharray:2.4 0.9 0.5 0.9");
    svg.text(x + 10, y0, fmt::format("predicted, +-{} K", number(o.predicted_error.value, 1)), kSmall);
  }
}

std::string description(const Verdict& verdict) {
  if (!verdict.deciding) return std::string(word(verdict.answer));
  return fmt::format("{}. {}", word(verdict.answer), verdict.figures[*verdict.deciding].why);
}

}  // namespace

std::string plot(const Log& log, const Verdict& verdict, const PasteWindow& paste,
                 const PlotOptions& options) {
  std::vector<Trace> traces;
  for (const Channel& channel : log.channels) traces.push_back(trace_of(log, channel));
  const Frame f = frame_for(log, traces, paste, options);
  SvgPicture svg(options.width_mm, options.height_mm, options.title, description(verdict));
  svg.leaf("rect", {{"width", svg_number(options.width_mm)},
                    {"height", svg_number(options.height_mm)},
                    {"fill", "white"}});
  // The answer is never what is cut off.
  const std::string answer = fmt::format(": {}", word(verdict.answer));
  constexpr double kBold = 0.66;
  const double title_width =
      options.width_mm - f.left - 4 - static_cast<double>(answer.size()) * kLarge * kBold;
  svg.text(f.left, 5.5, fitted(options.title, title_width, kLarge, kBold) + answer, kLarge, "start",
           {{"font-weight", "bold"}});
  const bool lacks = verdict.answer == Answer::undecided && !verdict.missing.empty();
  if (verdict.deciding && !lacks) {
    svg.text(
        f.left, 10.5,
        fitted("decides: " + verdict.figures[*verdict.deciding].why, options.width_mm - f.left - 4, kSmall),
        kSmall);
  } else if (lacks) {
    svg.text(f.left, 10.5,
             fitted("missing: " + verdict.missing.front(), options.width_mm - f.left - 4, kSmall), kSmall);
  }
  draw_axes(svg, f);
  draw_window(svg, f, paste);
  std::vector<Drawn> drawn;
  std::size_t boards = 0;
  std::optional<std::size_t> shown;  // the channel whose crossings and slopes are marked
  if (verdict.deciding) shown = verdict.figures[*verdict.deciding].channel;
  for (std::size_t k = 0; k < traces.size(); ++k) {
    if (traces[k].empty() || log.channels[k].role == ChannelRole::other) continue;
    const bool board = log.channels[k].role == ChannelRole::board;
    const std::size_t dash = board ? boards++ % kDash.size() : (k + 1) % kDash.size();
    svg.leaf("path", {{"d", path_of(traces[k], f)},
                      {"fill", "none"},
                      {"stroke", board ? "#000" : "#888"},
                      {"stroke-width", board ? "0.6" : "0.3"},
                      {"stroke-dasharray", kDash[dash]}});
    const std::string& where = log.channels[k].where;
    drawn.push_back({log.channels[k].name + (where.empty() ? "" : ", " + where) + " (" +
                         std::string(word(log.channels[k].role)) + ")",
                     0, dash, board});
    if (!shown && board) shown = k;
  }
  draw_predicted(svg, f, options);
  if (!shown && !traces.empty() && !traces.front().empty()) shown = 0;
  if (shown && traces[*shown].size() > 2) {
    draw_phases(svg, f, traces[*shown], paste);
    draw_crossings(svg, f, traces[*shown], paste);
    if (const auto slopes = least_squares_slopes(traces[*shown], paste.slope_window)) {
      draw_slope(svg, f, traces[*shown], slopes->steepest_rise);
      draw_slope(svg, f, traces[*shown], slopes->steepest_fall);
    }
  }
  draw_key(svg, f, options, std::move(drawn));
  return svg.finish();
}

}  // namespace handlot::reflow
