// The board with the parts of one bag, in the order in which a hand sets them.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <set>

#include "core/svg.h"
#include "core/text.h"
#include "solder/placing.h"

namespace handlot::solder {

namespace {

constexpr double kWidth = 180, kEdge = 8, kTop = 18, kLetters = 2.8;

struct View {
  Point low, high;
  double scale;
  bool mirrored;
  Point operator()(Point p) const {
    const double x = mirrored ? high.x - p.x : p.x - low.x;
    return {kEdge + x * scale, kTop + (high.y - p.y) * scale};
  }
};

/// Corners of a body, first corner at pin 1: left and up as the part lies unturned.
std::array<Point, 4> corners(const Placement& p) {
  const double a = p.turned.value / 180 * std::numbers::pi, c = std::cos(a), s = std::sin(a);
  const double l = p.length.value / 2, w = p.width.value / 2;
  std::array<Point, 4> out{Point{-l, w}, Point{l, w}, Point{l, -w}, Point{-l, -w}};
  for (Point& q : out) q = {p.centre.x + c * q.x - s * q.y, p.centre.y + s * q.x + c * q.y};
  return out;
}

View view_of(const std::vector<Placement>& parts, const BoardPicture& board) {
  View v{{1e300, 1e300}, {-1e300, -1e300}, 1, board.bottom};
  const auto see = [&](Point p) {
    v.low.x = std::min(v.low.x, p.x), v.low.y = std::min(v.low.y, p.y);
    v.high.x = std::max(v.high.x, p.x), v.high.y = std::max(v.high.y, p.y);
  };
  for (const Point& p : board.outline) see(p);
  for (const Placement& p : parts)
    for (const Point& q : corners(p)) see(q);
  if (v.low.x > v.high.x) v.low = {0, 0}, v.high = {10, 10};
  v.scale = std::min((kWidth - 2 * kEdge) / std::max(0.1, v.high.x - v.low.x),
                     board.tallest.value / std::max(0.1, v.high.y - v.low.y));
  return v;
}

std::string ring_path(const View& view, const auto& ring) {
  std::string d;
  for (const Point& p : ring) {
    const Point q = view(p);
    d += fmt::format("{}{} {}", d.empty() ? "M" : "L", svg_number(q.x), svg_number(q.y));
  }
  return d + "Z";
}

void draw_part(SvgPicture& svg, const View& view, const Placement& p, const char* fill, const char* line) {
  svg.leaf("path",
           {{"d", ring_path(view, corners(p))}, {"fill", fill}, {"stroke", "#000"}, {"stroke-width", line}});
}

/// A white dot inside the first corner, and a bar along that end: seen in grey, and however the part is
/// turned.
void draw_mark(SvgPicture& svg, const View& view, const Placement& p) {
  const auto c = corners(p);
  const Point a = view(c[0]), b = view(c[3]), middle = view(p.centre);
  const double size = std::min(p.length.value, p.width.value) * view.scale;
  const double r = std::clamp(size * 0.14, 0.35, 1.2);
  const double dx = middle.x - a.x, dy = middle.y - a.y, far = std::max(1e-6, std::hypot(dx, dy));
  svg.line(a.x, a.y, b.x, b.y,
           fmt::format("stroke:#000;stroke-width:{}", svg_number(std::clamp(size * 0.12, 0.5, 1.2))));
  svg.leaf("circle", {{"cx", svg_number(a.x + dx / far * r * 2)},
                      {"cy", svg_number(a.y + dy / far * r * 2)},
                      {"r", svg_number(r)},
                      {"fill", "white"},
                      {"stroke", "#000"},
                      {"stroke-width", "0.2"}});
}

void draw_order(SvgPicture& svg, const View& view, const std::vector<Placement>& parts,
                const PlacingGroup& group) {
  for (std::size_t i = 0; i + 1 < group.order.size(); ++i) {
    const Point a = view(parts[group.order[i]].centre), b = view(parts[group.order[i + 1]].centre);
    svg.line(a.x, a.y, b.x, b.y, "stroke:#000;stroke-width:0.2;stroke-dasharray:0.8 0.8");
  }
  for (std::size_t i = 0; i < group.order.size(); ++i) {
    const Placement& p = parts[group.order[i]];
    const Point c = view(p.centre);
    double up = 0;
    for (const Point& q : corners(p)) up = std::max(up, c.y - view(q).y);
    svg.text(c.x, c.y - up - 0.9, fmt::format("{} {}", i + 1, p.part), kLetters, "middle",
             {{"stroke", "white"}, {"stroke-width", "0.8"}, {"paint-order", "stroke"}});
  }
}

/// Under the picture: what dot and bar mean; empty where every part may lie either way round.
std::string turn_line(const std::vector<Placement>& parts, const PlacingGroup& group) {
  std::set<std::string> marks;
  bool unknown = false;
  for (const std::size_t i : group.order) {
    if (!parts[i].polarised) continue;
    if (parts[i].mark.empty()) unknown = true;
    else marks.insert(parts[i].mark);
  }
  if (marks.empty()) return unknown ? "do not turn: dot and bar stand at its first corner; what mark it bears there is not known" : "";
  const std::vector<std::string> words(marks.begin(), marks.end());
  return fmt::format("do not turn: dot and bar stand where the part shows its {}{}", listed(words), unknown ? "; the mark of others is not known" : "");
}

}  // namespace

std::string placing_picture(const std::vector<Placement>& parts, const PlacingPlan& plan,
                            std::size_t group_index, const BoardPicture& board) {
  const View view = view_of(parts, board);
  const PlacingGroup& group = plan.groups.at(group_index);
  const std::string turn = turn_line(parts, group);
  const double foot = kTop + (view.high.y - view.low.y) * view.scale + 7;
  const double height = foot + (turn.empty() ? 1 : 5) + 3;
  const std::string head = fmt::format("{}. {} x {} from bag {}", group_index + 1, group.order.size(),
                                       group.value.empty() ? "parts" : group.value, group.bag);
  SvgPicture svg(kWidth, height, board.title.empty() ? head : board.title, head);
  svg.leaf("rect", {{"width", svg_number(kWidth)}, {"height", svg_number(height)}, {"fill", "white"}});
  svg.text(kEdge, 6.5, head, 4.2, "start", {{"font-weight", "bold"}});
  svg.text(kEdge, 11.5, board.bottom ? "bottom side, seen from below" : "top side", kLetters);
  if (!board.outline.empty())
    svg.leaf("path", {{"d", ring_path(view, board.outline)},
                      {"fill", "#f6f6f6"},
                      {"stroke", "#000"},
                      {"stroke-width", "0.4"}});
  for (std::size_t g = 0; g < plan.groups.size(); ++g) {
    if (g == group_index) continue;
    for (const std::size_t i : plan.groups[g].order)
      draw_part(svg, view, parts[i], g < group_index ? "#ddd" : "none", "0.1");
  }
  for (const std::size_t i : group.order) {
    draw_part(svg, view, parts[i], "#666", "0.3");
    if (parts[i].polarised) draw_mark(svg, view, parts[i]);
  }
  draw_order(svg, view, parts, group);
  if (!turn.empty()) svg.text(kEdge, foot, turn, kLetters);
  return svg.finish();
}

}  // namespace handlot::solder
