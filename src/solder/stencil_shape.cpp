// What the outlines of a paste layer tell of foil and parts: the side it says it is of, thin webs, undivided thermal pads.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <tuple>

#include "core/text.h"
#include "solder/stencil.h"

namespace handlot::solder {

std::string_view side_said(const Layer& layer) {
  const std::string fields = "," + lower(layer.function) + ",";
  if (fields.find(",top,") != std::string::npos) return "top";
  return fields.find(",bot,") != std::string::npos ? "bottom" : "";
}

Diagnostics not_of_side(const Layer& layer, std::string_view side) {
  const std::string_view said = side_said(layer);
  if (side.empty() || said.empty() || said == side) return {};
  return {warning("gerber-other-side", {layer.file, 0, 0}, fmt::format("'{}' stands for the {} side, and says of itself that it is the {}'s ('{}')", layer.file, side, said, layer.function),
                  fmt::format("give the {}'s file, or write side=\"{}\"", side, said))};
}

namespace {

double to_edge(Point p, Point a, Point b) {
  const double dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
  const double t = square == 0 ? 0 : std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / square, 0.0, 1.0);
  return std::hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

/// Of rings that do not cross: between a corner of one and an edge of the other.
double between(const Ring& one, const Ring& other) {
  double least = 1e300;
  for (const Point& p : one) {
    for (std::size_t i = 0; i < other.size(); ++i) least = std::min(least, to_edge(p, other[i], other[(i + 1) % other.size()]));
  }
  return least;
}

std::vector<const Ring*> rings_of(const Opening& o) {
  std::vector<const Ring*> rings{&o.outline};
  for (const Ring& hole : o.holes) rings.push_back(&hole);
  return rings;
}

double between(const Opening& one, const Opening& other) {
  double least = 1e300;
  for (const Ring* a : rings_of(one)) {
    for (const Ring* b : rings_of(other)) least = std::min({least, between(*a, *b), between(*b, *a)});
  }
  return least;
}

/// Boxes no further apart than that.
bool near(const Opening& a, const Opening& b, double reach) {
  return a.low.x <= b.high.x + reach && b.low.x <= a.high.x + reach && a.low.y <= b.high.y + reach && b.low.y <= a.high.y + reach;
}

std::string spot(Point p) { return fmt::format("({}, {})", number(p.x, 2), number(p.y, 2)); }

/// Its name in front of its place.
std::string named(const Opening& o) { return o.component.empty() ? std::string() : name_of(o) + " "; }

}  // namespace

std::vector<Web> thin_webs(const Layer& layer, Millimetres foil) {
  constexpr double kRounding = 0.005;  // mm: of the coordinates, and of arcs drawn as chords
  const double least = foil.value - kRounding;
  std::vector<std::size_t> by_x(layer.openings.size());
  std::iota(by_x.begin(), by_x.end(), std::size_t{0});
  std::sort(by_x.begin(), by_x.end(), [&](std::size_t a, std::size_t b) { return std::pair(layer.openings[a].low.x, a) < std::pair(layer.openings[b].low.x, b); });
  std::vector<Web> webs;
  for (std::size_t i = 0; i < by_x.size(); ++i) {
    const Opening& one = layer.openings[by_x[i]];
    for (std::size_t k = i + 1; k < by_x.size() && layer.openings[by_x[k]].low.x <= one.high.x + least; ++k) {
      const Opening& other = layer.openings[by_x[k]];
      if (!near(one, other, least)) continue;
      const double width = between(one, other);
      if (width < least) webs.push_back({std::min(by_x[i], by_x[k]), std::max(by_x[i], by_x[k]), Millimetres(width)});
    }
  }
  std::sort(webs.begin(), webs.end(), [](const Web& a, const Web& b) { return std::tuple(a.width.value, a.a, a.b) < std::tuple(b.width.value, b.a, b.b); });
  return webs;
}

std::string in_words(const std::vector<Web>& webs, const Layer& layer, Millimetres foil) {
  const Web& thinnest = webs.front();
  const Opening &a = layer.openings[thinnest.a], &b = layer.openings[thinnest.b];
  return fmt::format("{} between openings {} thinner than the foil of {} mm, the thinnest {} mm between {}{} and {}{}: so little steel bends under the squeegee and tears, and the paste runs together",
                     counted(static_cast<long>(webs.size()), "web", "webs"), webs.size() == 1 ? "is" : "are", number(foil.value), number(thinnest.width.value, 3), named(a), spot(a.centre), named(b), spot(b.centre));
}

namespace {

constexpr double kLargeSide = 2.0;   // mm: smaller ones hold too little paste to lift a part [practice]
constexpr double kLargeOfSmall = 1.2;  // mm: of a small package this lifts it, where it holds a good share of the part's paste [practice]
constexpr double kLargeShare = 0.3;    // of the part's whole paste [practice]
constexpr double kLeadReach = 2.0;   // mm from its edge to the middle of a lead [practice]
constexpr int kLeadsOfARow = 3;
constexpr double kMostCoverage = 0.8;  // [practice], from memory

/// Small openings alike in size along each side: left, right, below, above.
std::array<int, 4> leads_beside(const Layer& layer, const Opening& large) {
  std::array<std::vector<double>, 4> areas;
  for (const Opening& o : layer.openings) {
    if (o.area.value > large.area.value / 4 || o.component != large.component) continue;
    const bool along_y = o.centre.y > large.low.y - kLeadReach / 4 && o.centre.y < large.high.y + kLeadReach / 4;
    const bool along_x = o.centre.x > large.low.x - kLeadReach / 4 && o.centre.x < large.high.x + kLeadReach / 4;
    const std::array<double, 4> off{large.low.x - o.centre.x, o.centre.x - large.high.x, large.low.y - o.centre.y, o.centre.y - large.high.y};
    for (std::size_t side = 0; side < 4; ++side) {
      if (off[side] > 0 && off[side] < kLeadReach && (side < 2 ? along_y : along_x)) areas[side].push_back(o.area.value);
    }
  }
  std::array<int, 4> count{};
  for (std::size_t side = 0; side < 4; ++side) {
    if (areas[side].empty()) continue;
    std::sort(areas[side].begin(), areas[side].end());
    const double usual = areas[side][areas[side].size() / 2];
    count[side] = static_cast<int>(std::count_if(areas[side].begin(), areas[side].end(), [&](double a) { return std::abs(a - usual) < 0.1 * usual; }));
  }
  return count;
}

bool between_leads(const Layer& layer, const Opening& o) {
  const auto count = leads_beside(layer, o);
  return (count[0] >= kLeadsOfARow && count[1] >= kLeadsOfARow) || (count[2] >= kLeadsOfARow && count[3] >= kLeadsOfARow);
}

/// Of the paste of all openings of its part; where nothing names parts, of those that lie about it.
double share_of_part(const Layer& layer, const Opening& large) {
  const auto of_part = [&](const Opening& o) { return large.component.empty() ? near(o, large, kLeadReach) : o.component == large.component; };
  double sum = 0;
  for (const Opening& o : layer.openings) sum += of_part(o) ? o.area.value : 0;
  return large.area.value / sum;
}

/// Paste enough to lift the part.
bool is_large(const Layer& layer, const Opening& o) { return o.width.value >= kLargeSide || (o.width.value >= kLargeOfSmall && share_of_part(layer, o) >= kLargeShare); }

std::optional<double> coverage_of(const Opening& o, const std::vector<Pad>& pads) {
  for (const Pad& pad : pads) {
    const double reach = std::min(pad.length.value, pad.width.value) / 2;
    if (std::hypot(pad.centre.x - o.centre.x, pad.centre.y - o.centre.y) < reach) return o.area.value / (pad.length.value * pad.width.value);
  }
  return std::nullopt;
}

}  // namespace

std::vector<WholePad> whole_pads(const Layer& layer, const std::vector<Pad>& pads) {
  std::vector<WholePad> found;
  for (std::size_t i = 0; i < layer.openings.size(); ++i) {
    const Opening& o = layer.openings[i];
    if (o.width.value < kLargeOfSmall || !between_leads(layer, o)) continue;
    const auto coverage = coverage_of(o, pads);
    // Of a small package only what is known is told: many a one is right undivided.
    if (!is_large(layer, o) || (!coverage && o.width.value < kLargeSide)) continue;
    if (coverage && *coverage <= kMostCoverage) continue;
    const std::string what = fmt::format("{}one opening of {} x {} mm at {}", named(o), number(o.length.value, 2), number(o.width.value, 2), spot(o.centre));
    found.push_back({i, coverage, coverage ? fmt::format("{} covers {} % of a thermal pad: the part swims on so much paste, its leads stay open or bridge, and gas stays under it", what, number(*coverage * 100, 0))
                                           : fmt::format("{} lies between rows of leads, as over a thermal pad, and how much of the pad it covers can't be told: on more than 80 % the part swims", what)});
  }
  return found;
}

}  // namespace handlot::solder
